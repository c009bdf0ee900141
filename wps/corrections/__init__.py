"""Corrections of the code tables, and what they change for records on file."""

"""Kinds of rule: one tested line under one row of a matrix becomes limits."""

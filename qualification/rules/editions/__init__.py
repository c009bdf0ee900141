"""Whole editions of codes: their further tables, their rows in words, one held against another."""

"""Hostile entries against every address and every form of the program, found from the URL table."""

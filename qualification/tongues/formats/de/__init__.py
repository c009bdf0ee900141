"""How numbers are put into pages: see formats.py of a language."""

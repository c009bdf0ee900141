"""Every property of a weld the program knows, each defined once."""

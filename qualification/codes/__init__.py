"""The editions a shop works with: its own checks of their tables and limits over them."""

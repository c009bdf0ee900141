"""The invented demo shop."""

"""Shops as releases of the past left them, and what this release makes of them."""

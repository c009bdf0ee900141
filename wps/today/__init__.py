"""What needs someone's attention now."""

"""What a test qualifies, and whether a weld lies within it."""

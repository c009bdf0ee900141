"""Many people at once, reading, checking and saving."""

"""Whether one result of a test is acceptable."""

"""What a record has to state, and whether it does."""

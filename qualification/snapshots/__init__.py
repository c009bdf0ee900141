"""What approval asks of a test record, and what it freezes."""

"""Questions and answers in JSON."""

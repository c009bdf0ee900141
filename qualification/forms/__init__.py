"""Forms of the lower app, one file per noun."""

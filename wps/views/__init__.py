"""Pages of the upper app, one file per noun."""

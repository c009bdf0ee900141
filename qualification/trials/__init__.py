"""Trials: kept, compared, shown, and turned into entries of records."""

"""The shop's data in one file: made, kept, checked, locked with a passphrase, and brought back."""

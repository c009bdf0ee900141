"""What a table of a code is: columns, rows, bands, covers, and an edition made of them."""

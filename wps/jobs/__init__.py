"""Jobs: their welds, and who may weld them."""

"""Metals, fillers and gases, and the groups and terms that follow from them."""

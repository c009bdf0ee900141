"""Laws of the rules: what holds of every document under every edition, on documents drawn at random."""

"""Laws of the rules: what holds of every document, drawn at random over all editions and both sides."""

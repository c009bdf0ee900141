"""Languages of papers and screens. What the rules say is told in another language here, at the edge."""

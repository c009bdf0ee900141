"""Finding anything by its words: what is searched, how it is kept up to date, and the search."""

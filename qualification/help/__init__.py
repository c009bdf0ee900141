"""Help: a page per subject in the trade's words, and a glossary. The words stand in TOML; a field's own help
stands in the registry of variables."""

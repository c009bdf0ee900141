"""Papers and pages in the languages of their readers."""

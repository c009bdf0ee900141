"""Controlled records: their life, their trail, and what changed between revisions."""

"""The refusal of a file that cannot be read as a PDF, and its words."""

from __future__ import annotations

DAMAGED = "The file cannot be read as a PDF. It is damaged, or of another kind."
ENCRYPTED = "The file is encrypted. Ask for one without a password, then choose that."


class NotReadable(ValueError):
    """The file cannot be read as a PDF; the message says why."""

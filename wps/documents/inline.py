"""Drawings that stand in a document's own text, as the address of a picture."""

from __future__ import annotations

from base64 import b64encode

INLINE = "data:image/svg+xml;base64,"
INLINE_PICTURE = "data:image/png;base64,"


def inline(svg: str) -> str:
    """The address of a drawing made for one document alone."""
    return INLINE + b64encode(svg.encode()).decode()


def inline_picture(png: bytes) -> str:
    """The same of a picture."""
    return INLINE_PICTURE + b64encode(png).decode()

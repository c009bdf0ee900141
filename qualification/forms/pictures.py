"""How large a picture may unpack."""

from __future__ import annotations

from typing import Any

from django import forms

MOST_PIXELS = 60_000_000
"""Some cameras of phones take 50 million; a small file can unpack to a hundred times as many."""


def refuse_too_many_pixels(name: str, picture: Any) -> None:
    """Raises ValidationError for a picture, opened and not yet read, that unpacks to more."""
    pixels = picture.width * picture.height
    if pixels > MOST_PIXELS:
        raise forms.ValidationError(
            f"{name} has {pixels / 1e6:.0f} million pixels."
            f" Make it {MOST_PIXELS / 1e6:.0f} million or fewer.",
            code="too_many_pixels",
        )

"""Text fields whose errors are sentences of our own."""

from __future__ import annotations

from typing import Any

from django import forms

from qualification.lengths import too_long_in_form


def text_field(
    label: str, longest: int, needed: str = "", help_text: str = "", **kwargs: Any
) -> forms.CharField:
    """A line of text. `needed`: the sentence for an empty field; without it the field may stay empty."""
    messages = {"max_length": too_long_in_form(label)}
    if needed:
        messages["required"] = needed
    return forms.CharField(
        label=label,
        max_length=longest,
        required=bool(needed),
        help_text=help_text,
        error_messages=messages,
        **kwargs,
    )

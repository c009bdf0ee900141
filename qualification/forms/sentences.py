"""Text fields whose errors are sentences of our own."""

from __future__ import annotations

from typing import Any

from django import forms


def text_field(
    label: str, longest: int, needed: str = "", help_text: str = "", **kwargs: Any
) -> forms.CharField:
    """A line of text. `needed`: the sentence for an empty field; without it the field may stay empty."""
    plain = label.replace("%", "%%")  # Django fills the sentence in
    messages = {
        "max_length": f"{plain} is %(show_value)d characters long. Shorten it to %(limit_value)d or fewer."
    }
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

"""What is said of a text that is longer than its place: the same sentence on every form and of every step."""

from __future__ import annotations

SENTENCE = "{label} is {length} characters long. Shorten it to {most} or fewer."


def too_long(label: str, length: int, most: int) -> str:
    """The sentence for a text of `length` characters where `most` are taken; empty where it fits."""
    return SENTENCE.format(label=label, length=length, most=most) if length > most else ""


def too_long_in_form(label: str) -> str:
    """The same as the `max_length` message of a form field; Django fills in both numbers."""
    plain = label.replace("%", "%%")
    return SENTENCE.format(label=plain, length="%(show_value)d", most="%(limit_value)d")

"""What a request carries, read the same way by every page: a form that was sent, a number, a search."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, QueryDict

LONGEST_SEARCH = 200
"""Characters of a search that are read; more words than that make a query the database refuses."""

MOST_DIGITS = 18
"""Digits a number of a record may have; one more could be beyond what the database holds."""


def posted(request: HttpRequest) -> QueryDict | None:
    """The entries of a form that was sent, also where all of them are empty; `None` for a page that is only
    opened. An empty dictionary in its place would leave the form unbound, and its errors unsaid."""
    return request.POST if request.method == "POST" else None


def posted_files(request: HttpRequest) -> Any:
    """The files of a form that was sent; `None` for a page that is only opened."""
    return request.FILES if request.method == "POST" else None


def number_in(text: str) -> int | None:
    """A whole number written in the digits 0 to 9 alone, as addresses and hidden fields carry it. Other signs
    that count as digits elsewhere, such as ², are none."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= MOST_DIGITS else None


def sought_in(request: HttpRequest, name: str = "q") -> str:
    """The words somebody searches for, without blanks around them."""
    return request.GET.get(name, "").strip()[:LONGEST_SEARCH].strip()

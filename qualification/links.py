"""Where the upper app tells the pages of evidence what rests on a record, without being imported by them.

The upper app adds a function to `SOURCES` when it starts; each is asked for the links of one record.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from qualification.models import CouponRecord


@dataclass(frozen=True)
class Link:
    """One thing that rests on a record: its name, its page, and a detail such as its state."""

    what: str
    url: str
    detail: str = ""


@dataclass(frozen=True)
class Links:
    """Links of one sort under one heading; `when_none` is the sentence shown when there are none."""

    title: str
    when_none: str
    links: tuple[Link, ...]


Source = Callable[[CouponRecord], Links | None]

SOURCES: list[Source] = []


def links_of(record: CouponRecord) -> list[Links]:
    """What rests on the record, or can be done with it, in the order of `SOURCES`."""
    return [found for source in SOURCES if (found := source(record)) is not None]

"""Columns of the catalogue's files that hold names of a fixed form: processes and specifications."""

from __future__ import annotations

import re
from typing import Any

from ..tabular import schema
from ..tabular.schema import TablePlace
from ..variables.definition import PROCESSES


def processes_of(raw: Any, place: TablePlace) -> tuple[str, ...]:
    """A column of processes. Raises TableError for one that is none of ours."""
    found = schema.keys(raw, place)
    strange = sorted(set(found) - set(PROCESSES))
    if strange:
        raise place.fail(f"{strange[0]!r} is not one of {', '.join(PROCESSES)}")
    return found


def specifications_of(raw: Any, place: TablePlace) -> tuple[str, ...]:
    """A column of specifications of base metals. Raises TableError for a name of another form."""
    found = schema.keys(raw, place)
    for item in found:
        if not re.fullmatch(r"[AB]\d{2,3}|API 5L", item):
            raise place.fail(f"{item!r} is not a specification such as B209")
    return found


def filler_specification(raw: Any, place: TablePlace) -> str:
    """A column with one filler specification. Raises TableError for a name of another form."""
    found = schema.text(raw, place)
    if not re.fullmatch(r"SFA-5\.\d{1,2}|MIL-E-\d{5}(?:/\d{1,2})?", found):
        raise place.fail(f"{raw!r} is not a filler specification such as SFA-5.10 or MIL-E-22200/1")
    return found

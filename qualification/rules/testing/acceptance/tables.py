"""The reader of acceptance.toml: what each result of a test has to show.

Each [[check]] is one thing to look at on results of some kinds, with its number. Rows that differ only in the
coupon thickness they are for have to follow one another without gap or overlap.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ...tabular import schema
from ...tabular.schema import Column, TablePlace, required
from ..specimen_rows import CheckRow
from ..specimen_tables import SAID, SIDES, check_tiles, cited_rows, kinds
from .register import CHECKS

_length, _span = schema.pair("length"), schema.pair_interval("length")
CHECK: dict[str, Column] = {
    **SAID,
    "check": required(schema.text),
    "kinds": required(kinds),
    "side": schema.one_of(*SIDES),
    "when": schema.conditions,
    "coupon_thickness": _span,
    "most": _length,
    "least": _length,
    "share": schema.number,
    "divisor": schema.number,
    "count": schema.whole,
    "within": _length,
    "times": schema.number,
    "gap": schema.number,
    "hardest": schema.whole,
}
NUMBERS = ("most", "least", "share", "divisor", "count", "within", "times", "gap", "hardest")
"""Number columns of a check row."""


def read_acceptance(
    raw: Mapping[str, Any],
    place: TablePlace,
) -> tuple[CheckRow, ...]:
    """Read acceptance.toml. Raises TableError naming file and row."""
    if set(raw) != {"check"}:
        raise place.fail("expected nothing but [[check]] entries")
    found: list[CheckRow] = []
    for row, here in cited_rows(raw, "check", CHECK, place):
        if row["check"] not in CHECKS:
            raise here.fail(f"there is no check {row['check']!r}; checks are {', '.join(sorted(CHECKS))}")
        check = CHECKS[row["check"]]
        needed, allowed = set(check.numbers), {*check.numbers, *check.optional, *check.one_of}
        given = {key for key in NUMBERS if row[key] is not None}
        if not needed <= given <= allowed:
            raise here.fail(
                f"{row['check']} takes {', '.join(sorted(allowed)) or 'no number'}, "
                f"found {', '.join(sorted(given)) or 'none'}"
            )
        if check.one_of and len(given & set(check.one_of)) != 1:
            raise here.fail(f"{row['check']} takes exactly one of {', '.join(check.one_of)}")
        found.append(CheckRow(**{**row, "when": row["when"] or ()}))
    check_tiles(
        [
            ((row.check, sorted(row.kinds), row.side, row.when), row.coupon_thickness, row.citation)
            for row in found
        ],
        "check",
        place,
    )
    return tuple(found)

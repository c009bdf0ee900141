"""What continuity.toml says of editions whose qualifications are confirmed and prolonged: the rows, and their
reader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ..core.findings import Citation
from ..tabular import schema
from ..tabular.schema import CITED, Column, TablePlace, read_row, required
from . import continuity
from .continuity import ContinuityRules

BY = ("retest", "welds", "records")
METHODS = {"radiographic": "Radiography", "ultrasonic": "Ultrasonics", "destructive": "Destructive test"}
"""By what the welds of a prolongation may be examined, in words."""
SIGNATORIES = {
    "employer": "Employer",
    "coordinator": "Welding coordinator",
    "examiner": "Examiner or examining body",
}
"""Who may sign, in words."""


@dataclass(frozen=True)
class RevalidationMethod:
    """One way in which the edition lets a qualification go on beyond its first period."""

    key: str
    by: str
    """`retest`: a new test; `welds`: prolonged on examined welds; `records`: while conditions are met."""
    months: int | None
    """Calendar months of one period; `None` for no end."""
    welds: int
    within: int
    """Examined welds a prolongation rests on, and the months before it in which they were welded."""
    methods: tuple[str, ...]
    """By what these welds may be examined; keys of `METHODS`."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class Signatory:
    """Who may sign one kind of act."""

    act: str
    by: tuple[str, ...]
    """Keys of `SIGNATORIES`."""
    citation: Citation


@dataclass(frozen=True)
class ValidityRules:
    months: int
    """Calendar months within which the qualification is confirmed again."""
    ways: tuple[RevalidationMethod, ...]
    signatories: tuple[Signatory, ...]
    start: Citation
    confirmation: Citation
    revocation: Citation

    def may_sign(self, act: str) -> tuple[str, ...]:
        """Keys of those who may sign a `confirmation` or a `prolongation`."""
        return next(each.by for each in self.signatories if each.act == act)

    def way(self, key: str | None) -> RevalidationMethod | None:
        """The way of that key; the only one where there is but one."""
        return (
            self.ways[0]
            if key is None and len(self.ways) == 1
            else next((w for w in self.ways if w.key == key), None)
        )


WAY: dict[str, Column] = {
    **CITED,
    "key": required(schema.text),
    "by": required(schema.one_of(*BY)),
    "months": schema.whole,
    "welds": schema.whole,
    "within": schema.whole,
    "methods": schema.keys,
    "because": required(schema.text),
}
SIGNATORY: dict[str, Column] = {
    **CITED,
    "act": required(schema.one_of("confirmation", "prolongation")),
    "by": required(schema.keys),
}
SECTIONS: dict[str, dict[str, Column]] = {
    "start": dict(CITED),
    "confirmation": {**CITED, "months": required(schema.whole)},
    "revocation": dict(CITED),
}


def read_keeping(raw: Mapping[str, Any], place: TablePlace) -> ContinuityRules | ValidityRules:
    """Read `continuity.toml`, by whichever of the two kinds of rules it holds. Raises TableError."""
    return (read if "confirmation" in raw else continuity.read)(raw, place)


def read(raw: Mapping[str, Any], place: TablePlace) -> ValidityRules:
    """Raises TableError naming the section that is missing, unknown or wrong."""
    if set(raw) != {*SECTIONS, "way", "signatory"}:
        raise place.fail(
            f"expected the sections {', '.join(SECTIONS)}, way and signatory, found {', '.join(raw)}"
        )
    rows: dict[str, dict[str, Any]] = {}
    cited: dict[str, Citation] = {}
    for name, columns in SECTIONS.items():
        here = place.at(name)
        rows[name] = read_row(raw[name], columns, here)
        cited[name] = schema.citation(rows[name], here)
    if rows["confirmation"]["months"] < 1:
        raise place.fail("confirmation in less than a month is not a span of time")
    ways = tuple(_way(item, here) for item, here in schema.numbered(raw["way"], place, "way"))
    if all(way.months is None for way in ways) or len({way.key for way in ways}) < len(ways):
        raise place.fail("the ways need keys of their own, and one of them a period")
    signatories = tuple(
        _signatory(item, here) for item, here in schema.numbered(raw["signatory"], place, "signatory")
    )
    acts = {"confirmation"} | ({"prolongation"} if any(way.by == "welds" for way in ways) else set())
    if sorted(each.act for each in signatories) != sorted(acts):
        raise place.fail(f"needs one signatory row for each of {', '.join(sorted(acts))}")
    return ValidityRules(
        rows["confirmation"]["months"],
        ways,
        signatories,
        cited["start"],
        cited["confirmation"],
        cited["revocation"],
    )


def _signatory(item: Any, place: TablePlace) -> Signatory:
    row = read_row(item, SIGNATORY, place)
    _known(row["by"], SIGNATORIES, place)
    return Signatory(row["act"], row["by"], schema.citation(row, place))


def _known(named: Sequence[str], known: Mapping[str, str], place: TablePlace) -> None:
    strange = [key for key in named if key not in known]
    if strange:
        raise place.fail(f"{strange[0]!r} is not one of {', '.join(known)}")


def _way(item: Any, place: TablePlace) -> RevalidationMethod:
    row = read_row(item, WAY, place)
    wanted = {"retest": {"months"}, "welds": {"months", "welds", "within", "methods"}, "records": set()}[
        row["by"]
    ]
    given = {key for key in ("months", "welds", "within", "methods") if row[key] is not None}
    if given != wanted:
        raise place.fail(f"a way by {row['by']} states {', '.join(sorted(wanted)) or 'no number'}")
    if any(row[key] < 1 for key in wanted - {"methods"}):
        raise place.fail("every number of a way is at least 1")
    methods = row["methods"] or ()
    _known(methods, METHODS, place)
    return RevalidationMethod(
        row["key"],
        row["by"],
        row["months"],
        row["welds"] or 0,
        row["within"] or 0,
        methods,
        row["because"],
        schema.citation(row, place),
    )

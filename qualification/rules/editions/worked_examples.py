"""Worked examples of an edition: a coupon, and step by step what it qualifies, as a public page has it, or as
we worked it from the rows where no page answers.

Each file `tables/examples/<edition>.toml` is a test and a page of the help at once. An example states what
its steps need and nothing else: it asks single limits, not whether a weld is covered as a whole.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..core.facts import Coupon, Side
from ..core.findings import Provenance, Source, Verdict
from ..core.quantities import SI, US
from ..core.words import within_sentence
from ..entries.derive import derive
from ..entries.reading import read_weld
from ..entries.wording import say_allowed
from ..materials.grouping import group
from ..ranges.ranges import range_qualified
from ..tabular import schema
from ..tabular.edition import ROOT, Edition
from ..tabular.schema import Column, TablePlace, read_row, required
from ..variables.definition import RecordKind
from ..variables.limits import Truth
from ..variables.registry import registry

FOLDER = ROOT / "examples"
"""A file for each edition with rules."""
Entries = Mapping[str, Any]


@dataclass(frozen=True)
class Step:
    variable: str
    clause: str
    weld: Entries
    """Entries in which the weld asked about differs from the coupon."""
    qualified: str
    """What the coupon qualifies for such a weld, in words."""
    verdict: str
    """Of that weld (`Verdict.key`)."""
    because: str


@dataclass(frozen=True)
class Example:
    title: str
    side: Side
    units: str
    joint: Entries
    line: Entries
    source: Source | None
    """The page that answers it; None for one we worked from the rows of the edition."""
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Answered:
    """What the program says to a step."""

    qualified: str
    verdict: str
    is_published: bool = False
    """True where public pages state every row that the answer rests on."""


def _entries(raw: Any, place: TablePlace) -> Entries:
    if not isinstance(raw, dict) or set(raw) - set(registry()):
        raise place.fail(f"expected entries by variable, found {raw!r}")
    return raw


STEP: dict[str, Column] = {
    "variable": required(schema.known_variable),
    "clause": required(schema.text),
    "weld": _entries,
    "qualified": required(schema.text),
    "verdict": required(schema.one_of(*(verdict.key for verdict in Verdict))),
    "because": required(schema.text),
}
EXAMPLE: dict[str, Column] = {
    "title": required(schema.text),
    "side": required(schema.one_of(*(side.value for side in Side))),
    "units": required(schema.one_of(US, SI)),
    "joint": _entries,
    "line": required(_entries),
    "source": schema.text,
    "step": required(lambda raw, _: raw),
}


def worked_examples(made: Edition) -> tuple[Example, ...]:
    """Those of the edition that ships under this name. Raises TableError naming the example, also where its
    source is not one of the edition's."""
    path = FOLDER / f"{made.id}.toml"
    if not path.is_file():
        return ()
    body = tomllib.loads(path.read_text("utf-8"))
    return tuple(
        _example(item, made, place)
        for item, place in schema.numbered(body.get("example"), TablePlace("examples", path.name), "example")
    )


def _example(item: Any, made: Edition, place: TablePlace) -> Example:
    row = read_row(item, EXAMPLE, place)
    if row["source"] is not None and row["source"] not in made.sources:
        raise place.fail(f"{row['source']!r} is not a source of {made.id}")
    steps = tuple(
        Step(**{**read_row(step, STEP, place), "weld": step.get("weld", {})})
        for step in schema.row_list(row["step"], place)
    )
    return Example(
        row["title"],
        Side(row["side"]),
        row["units"],
        row["joint"] or {},
        row["line"],
        made.sources[row["source"]] if row["source"] else None,
        steps,
    )


def answered(example: Example, step: Step, made: Edition) -> Answered:
    """What the edition's rows of that clause say of the step's variable; `Answered("", "")` where none of
    them speaks of such a weld."""
    is_test = example.side is Side.PROCEDURE
    coupon = _read(example, {}, RecordKind.TEST if is_test else RecordKind.WELDER_TEST, made)
    weld = _read(example, step.weld, RecordKind.SPEC, made)
    ranged = range_qualified(Coupon("T", coupon, example.units), made, example.side)
    whole = derive(group(weld, made)).line_facts(0)
    facts = whole.including({"root_on_other_test": frozenset({"no"})})  # as coverage asks of one weld
    limits = [
        limit
        for line in ranged.lines
        for limit in line.limits
        if limit.variable == step.variable
        and limit.citation.clause == step.clause
        and limit.speaks(facts)[0] is Truth.YES
    ]
    if not limits:
        return Answered("", "")
    words = dict.fromkeys(
        within_sentence(say_allowed(step.variable, limit.allowed, example.units)) for limit in limits
    )
    return Answered(
        "; ".join(words),
        max(limit.judge(facts, 0).verdict for limit in limits).key,
        all(limit.citation.provenance is Provenance.PUBLISHED for limit in limits),
    )


def _read(example: Example, changes: Entries, use: RecordKind, made: Edition) -> Any:
    def entered(entries: Entries, level: str) -> dict[str, Any]:
        mine = {key: value for key, value in changes.items() if registry()[key].level.value == level}
        return {key: value for key, value in {**entries, **mine}.items() if use in registry()[key].uses}

    read = read_weld(
        entered(example.joint, "joint"), [entered(example.line, "line")], use, example.units, "", made.speaks
    )
    return read.weld

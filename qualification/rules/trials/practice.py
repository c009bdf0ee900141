"""Cautions and advice at the steps of a trial, and how far readings by hand may be off: from
`tables/practice/`.

Nothing here is a rule of a code: a caution is said where it matters, advice points out an order of steps, and
neither ever refuses an entry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from ..core.facts import Facts, Weld
from ..core.gases import components
from ..core.values import Interval
from ..materials.catalogue import FAMILIES, ORIGIN, Origin, find_metal, origin
from ..tabular import edition, schema
from ..tabular.schema import Column, TableError, TablePlace, read_row, required
from ..variables.registry import registry
from ..variables.trial import STEPS
from .combination_tables import FILE as COMBINATIONS
from .combination_tables import Combinations, build_combinations, quantity

FOLDER = "practice"
FILES = {"sources.toml", "cautions.toml", "reading.toml", "next_changes.toml", COMBINATIONS}
PAGE_STEPS = ("preparation", "gas", "arc", "after")
ANY_STEP = "preparation"
"""In `when` of a caution: any of the steps of preparation."""


@dataclass(frozen=True)
class Caution:
    """One thing said at a step, in our own words, and where it was read."""

    key: str
    step: str
    text: str
    origin: Origin


@dataclass(frozen=True)
class _CautionRow:
    caution: Caution
    when: Mapping[str, frozenset[str]]
    metals: frozenset[str]
    gases: frozenset[str]


@dataclass(frozen=True)
class NextChange:
    """What to change on the next bead, and the published cause it follows from. Advice, never a verdict."""

    key: str
    text: str
    why: str
    origin: Origin


@dataclass(frozen=True)
class _ChangeRow:
    change: NextChange
    when: Mapping[str, frozenset[str]]
    metals: frozenset[str]


@dataclass(frozen=True)
class _AdviceRow:
    advice: Caution
    metals: frozenset[str]
    first: frozenset[str]
    then: frozenset[str]
    needs: frozenset[str]
    older_than: Decimal | None
    """In seconds."""


@dataclass(frozen=True)
class Practice:
    cautions: tuple[_CautionRow, ...]
    advice: tuple[_AdviceRow, ...]
    changes: tuple[_ChangeRow, ...]
    off: Mapping[str, Decimal]
    """How far a reading may be off, by variable, in its canonical unit."""
    combinations: Combinations
    """Entries that do not go together."""


def _when(raw: Any, place: TablePlace) -> Mapping[str, frozenset[str]]:
    if not isinstance(raw, dict) or not raw:
        raise place.fail(f"expected choices by variable, found {raw!r}")
    return {name: frozenset(schema.keys(choices, place)) for name, choices in raw.items()}


def _families(raw: Any, place: TablePlace) -> tuple[str, ...]:
    found = schema.keys(raw, place)
    strange = [each for each in found if each not in FAMILIES]
    if strange:
        raise place.fail(f"{strange[0]!r} is not one of {', '.join(FAMILIES)}")
    return found


_CAUTION: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.text),
    "step": required(schema.one_of(*PAGE_STEPS)),
    "text": required(schema.text),
    "when": _when,
    "metals": _families,
    "gases": schema.keys,
}
_ADVICE: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.text),
    "text": required(schema.text),
    "metals": _families,
    "first": schema.keys,
    "then": schema.keys,
    "needs": schema.keys,
    "older_than": quantity("time"),
}
_CHANGE: dict[str, Column] = {
    **ORIGIN,
    "key": required(schema.text),
    "text": required(schema.text),
    "why": required(schema.text),
    "when": required(_when),
    "metals": _families,
}
_OFF_IN = {"arc_time": "duration", "pass_length": "length"}


@lru_cache(maxsize=1)
def practice() -> Practice:
    """The tables that ship with the program. Raises TableError when they cannot be trusted."""
    return build(edition.read_files(edition.ROOT / FOLDER))


def build(files: Mapping[str, Mapping[str, Any]]) -> Practice:
    """Check the parsed files. Raises TableError naming file and row."""
    if set(files) != FILES:
        raise TableError(f"{FOLDER}: expected {', '.join(sorted(FILES))}, found {', '.join(sorted(files))}")
    sources = edition.read_sources(FOLDER, files["sources.toml"])

    def rows(
        file: str,
        table: str,
        columns: Mapping[str, Column],
        make: Callable[[Mapping[str, Any], Origin, TablePlace], Any],
    ) -> tuple[Any, ...]:
        listed = []
        for raw, place in schema.numbered(files[file].get(table), TablePlace(FOLDER, file, table), table):
            row = read_row(raw, columns, place)
            listed.append(make(row, origin(row, sources, place), place))
        return tuple(listed)

    off = rows(
        "reading.toml",
        "reading",
        {**ORIGIN, "key": required(schema.one_of(*_OFF_IN)), "off": required(schema.text)},
        _off,
    )
    return Practice(
        rows("cautions.toml", "caution", _CAUTION, _caution),
        rows("cautions.toml", "advice", _ADVICE, _advice),
        rows("next_changes.toml", "change", _CHANGE, _change),
        dict(off),
        build_combinations(files[COMBINATIONS], sources, FOLDER),
    )


def _caution(row: Mapping[str, Any], found: Origin, place: TablePlace) -> _CautionRow:
    said = Caution(row["key"], row["step"], row["text"], found)
    return _CautionRow(said, row["when"] or {}, frozenset(row["metals"] or ()), frozenset(row["gases"] or ()))


def _change(row: Mapping[str, Any], found: Origin, place: TablePlace) -> _ChangeRow:
    for name, choices in row["when"].items():
        known = {choice.key for choice in registry()[name].choices} if name in registry() else set()
        if strange := set(choices) - known:
            raise place.fail(f"{name} has no {', '.join(sorted(strange))}")
    said = NextChange(row["key"], row["text"], row["why"], found)
    return _ChangeRow(said, row["when"], frozenset(row["metals"] or ()))


def _advice(row: Mapping[str, Any], found: Origin, place: TablePlace) -> _AdviceRow:
    if row["older_than"] is None and not row["first"]:
        raise place.fail("needs `first` or `older_than`")
    first, then, needs = (frozenset(row[key] or ()) for key in ("first", "then", "needs"))
    said = Caution(row["key"], "preparation", row["text"], found)
    return _AdviceRow(said, frozenset(row["metals"] or ()), first, then, needs, row["older_than"])


def _off(row: Mapping[str, Any], found: Origin, place: TablePlace) -> tuple[str, Decimal]:
    return row["key"], quantity(_OFF_IN[row["key"]])(row["off"], place)


def reading_off(key: str) -> Decimal:
    """How far a reading of `arc_time` (s) or `pass_length` (mm) may be off. Raises KeyError for another."""
    return practice().off[key]


def steps_of(joint: Facts) -> tuple[str, ...]:
    """The steps of preparation stated, in order."""
    return tuple(step for key in STEPS if (step := joint.choice(key)) is not None)


def cautions_for(weld: Weld) -> dict[str, list[Caution]]:
    """What is to be said at each step of the page, for the entries as they stand. What is not stated brings
    up nothing but the cautions that hold for every arc."""
    families, gas = families_of(weld), gases_of(weld)
    found: dict[str, list[Caution]] = {step: [] for step in PAGE_STEPS}
    for row in practice().cautions:
        if row.metals and not row.metals & families:
            continue
        if row.gases and not row.gases & gas:
            continue
        if all(_stated(weld, key) & choices for key, choices in row.when.items()):
            found[row.caution.step].append(row.caution)
    return found


def advice_for(weld: Weld) -> list[Caution]:
    """Remarks on the order of the steps and on the time since cleaning; never a refusal."""
    steps, families, since = steps_of(weld.joint), families_of(weld), weld.joint["since_cleaning"]
    return [
        row.advice
        for row in practice().advice
        if not (row.metals and not row.metals & families) and _applies(row, steps, since)
    ]


def next_changes(weld: Weld) -> list[NextChange]:
    """What published causes suggest to change, for what was seen; nothing where nothing amiss was seen."""
    families = families_of(weld)
    return [
        row.change
        for row in practice().changes
        if (not row.metals or row.metals & families)
        and all(_stated(weld, key) & choices for key, choices in row.when.items())
    ]


def _applies(row: _AdviceRow, steps: Sequence[str], since: object) -> bool:
    if row.older_than is not None:
        return isinstance(since, Interval) and since.low is not None and since.low > row.older_than
    at = [index for index, step in enumerate(steps) if step in row.first]
    if not at:
        return False
    if row.needs:
        return not any(step in row.needs for step in steps[at[-1] + 1 :])
    return any(step in row.then for step in steps[: at[0]])


def _stated(weld: Weld, key: str) -> frozenset[str]:
    if key == ANY_STEP:
        return frozenset(steps_of(weld.joint))
    found: set[str] = set()
    for facts in (weld.joint, *weld.lines):
        found |= facts.choices(key)
    return frozenset(found)


def processes_of(weld: Weld) -> frozenset[str]:
    """The welding processes stated."""
    return _stated(weld, "process")


def families_of(weld: Weld) -> frozenset[str]:
    """The families of the base metals stated."""
    named = _stated(weld, "base_metal_a") | _stated(weld, "base_metal_b")
    return frozenset(metal.family for name in named if (metal := find_metal(name)) is not None)


def gases_of(weld: Weld) -> frozenset[str]:
    """The components of the shielding and backing gases stated."""
    named = _stated(weld, "shielding_gas") | _stated(weld, "backing_gas")
    return frozenset(part for gas in named for part in components(gas))

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

from . import schema, tables
from .catalogue import FAMILIES, ORIGIN, Origin, find_metal, origin
from .facts import Facts, Weld
from .gases import components
from .quantities import SI, QuantityError, read_quantity
from .schema import Column, Place, TableError, read_row, required
from .values import Interval
from .variables_trial import STEPS

FOLDER = "practice"
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
    off: Mapping[str, Decimal]
    """How far a reading may be off, by variable, in its canonical unit."""


def _when(raw: Any, place: Place) -> Mapping[str, frozenset[str]]:
    if not isinstance(raw, dict) or not raw:
        raise place.fail(f"expected choices by variable, found {raw!r}")
    return {name: frozenset(schema.keys(choices, place)) for name, choices in raw.items()}


def _quantity(dimension: str) -> Column:
    def read(raw: Any, place: Place) -> Decimal:
        try:
            value = read_quantity(schema.text(raw, place), dimension, SI, many=False).interval.low
        except QuantityError as error:
            raise place.fail(str(error)) from error
        assert value is not None
        return value

    return read


def _families(raw: Any, place: Place) -> tuple[str, ...]:
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
    "older_than": _quantity("time"),
}
_OFF_IN = {"arc_time": "duration", "pass_length": "length"}


@lru_cache(maxsize=1)
def practice() -> Practice:
    """The tables that ship with the program. Raises TableError when they cannot be trusted."""
    return build(tables.read_files(tables.ROOT / FOLDER))


def build(files: Mapping[str, Mapping[str, Any]]) -> Practice:
    """Check the parsed files. Raises TableError naming file and row."""
    if set(files) != {"sources.toml", "cautions.toml", "reading.toml"}:
        raise TableError(
            f"{FOLDER}: expected sources.toml, cautions.toml and reading.toml, "
            f"found {', '.join(sorted(files))}"
        )
    sources = tables.read_sources(FOLDER, files["sources.toml"])

    def rows(
        file: str,
        table: str,
        columns: Mapping[str, Column],
        make: Callable[[Mapping[str, Any], Origin, Place], Any],
    ) -> tuple[Any, ...]:
        listed = []
        for index, raw in enumerate(
            schema.row_list(files[file].get(table), Place(FOLDER, file, table)), start=1
        ):
            place = Place(FOLDER, file, f"{table} {index}")
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
        dict(off),
    )


def _caution(row: Mapping[str, Any], found: Origin, place: Place) -> _CautionRow:
    said = Caution(row["key"], row["step"], row["text"], found)
    return _CautionRow(said, row["when"] or {}, frozenset(row["metals"] or ()), frozenset(row["gases"] or ()))


def _advice(row: Mapping[str, Any], found: Origin, place: Place) -> _AdviceRow:
    if row["older_than"] is None and not row["first"]:
        raise place.fail("needs `first` or `older_than`")
    first, then, needs = (frozenset(row[key] or ()) for key in ("first", "then", "needs"))
    said = Caution(row["key"], "preparation", row["text"], found)
    return _AdviceRow(said, frozenset(row["metals"] or ()), first, then, needs, row["older_than"])


def _off(row: Mapping[str, Any], found: Origin, place: Place) -> tuple[str, Decimal]:
    return row["key"], _quantity(_OFF_IN[row["key"]])(row["off"], place)


def reading_off(key: str) -> Decimal:
    """How far a reading of `arc_time` (s) or `pass_length` (mm) may be off. Raises KeyError for another."""
    return practice().off[key]


def steps_of(joint: Facts) -> tuple[str, ...]:
    """The steps of preparation stated, in order."""
    return tuple(next(iter(value)) for key in STEPS if isinstance(value := joint[key], frozenset))


def cautions_for(weld: Weld) -> dict[str, list[Caution]]:
    """What is to be said at each step of the page, for the entries as they stand. What is not stated brings
    up nothing but the cautions that hold for every arc."""
    families, gas = _families_of(weld), _gases_of(weld)
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
    steps, families, since = steps_of(weld.joint), _families_of(weld), weld.joint["since_cleaning"]
    return [
        row.advice
        for row in practice().advice
        if not (row.metals and not row.metals & families) and _applies(row, steps, since)
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
        value = facts[key]
        found |= value if isinstance(value, frozenset) else set()
    return frozenset(found)


def _families_of(weld: Weld) -> frozenset[str]:
    named = _stated(weld, "base_metal_a") | _stated(weld, "base_metal_b")
    return frozenset(metal.family for name in named if (metal := find_metal(name)) is not None)


def _gases_of(weld: Weld) -> frozenset[str]:
    named = _stated(weld, "shielding_gas") | _stated(weld, "backing_gas")
    return frozenset(part for gas in named for part in components(gas))

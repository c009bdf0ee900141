"""How bend specimens of a coupon are made and bent: thickness, width, former and die.

In ASME IX: QW-462.2 and QW-462.3(a) for the specimen, QW-466.1 for the jig.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from ..core.facts import Facts
from ..core.findings import Citation
from ..core.quantities import US
from ..core.values import Absent, Interval
from ..tabular.schema import Pair
from ..variables.limits import Truth
from ..variables.metal_systems import MetalSystem
from .results import ResultKind
from .specimen_rows import FormerRow, MetalTest, SpecimenTables


@dataclass(frozen=True)
class Metals:
    """Groups of the two sides and F-Numbers of all lines, each `None` while not stated."""

    a: frozenset[str] | None
    b: frozenset[str] | None
    fillers: tuple[frozenset[str] | None, ...]
    keys: tuple[str, ...] = ()
    """Variables of the two sides; empty where the edition does not group metals."""


@dataclass(frozen=True)
class Die:
    """Dimensions of the jig as its figure letters them: A former diameter, B its radius, C opening of the
    die, D half of that."""

    a: Decimal
    b: Decimal
    c: Decimal | None = None
    """`None`, as D, where the code gives a former only, for a jig that wraps the specimen around it."""
    d: Decimal | None = None


@dataclass(frozen=True)
class Bending:
    thickness: Decimal | None
    width: Decimal | None
    die: Die | None
    former_most: Decimal | None
    """The largest former the specimen may be bent over."""
    citations: tuple[Citation, ...]
    sentences: tuple[str, ...]
    needs: tuple[str, ...]
    """Variables without which thickness or former cannot be told."""
    former_taken: Decimal | None = None
    """The largest former that counts: `former_most` to the digits formers are made and measured to, where the
    code prints its jigs rounded in metric."""


SAID_OF_ROUNDING = (
    "The largest former follows from the inch jig; formers are compared with it to 0.1 mm, rounded half up."
)


def metals_of(joint: Facts, lines: tuple[Facts, ...], system: MetalSystem | None) -> Metals:
    """The metals of both sides, by the groups of `system`, and the fillers of the lines."""
    keys = system.sides if system else ("", "")
    a, b = (_given(joint[key]) for key in keys)
    return Metals(a, b, tuple(_filler(line) for line in lines), keys if system else ())


def _given(value: object) -> frozenset[str] | None:
    return value if isinstance(value, frozenset) else frozenset() if value is Absent.NOT_APPLICABLE else None


def _filler(line: Facts) -> frozenset[str] | None:
    if line["f_number"] is Absent.MISSING and line.is_only("filler_used", "no"):
        return frozenset()
    return _given(line["f_number"])


def fits(test: MetalTest, metals: Metals) -> tuple[Truth, tuple[str, ...]]:
    """Whether the metals are those a row is for, and which missing values leave that open."""
    parts = []
    if test.one_side is not None:
        parts.append(_sides(test, metals))
    if test.f_any is not None:
        parts.append(_any_filler(test.f_any, metals))
    worst = min((truth for truth, _ in parts), key=lambda t: t.value)
    return worst, tuple(need for truth, needs in parts if truth is Truth.UNKNOWN for need in needs)


def _sides(test: MetalTest, metals: Metals) -> tuple[Truth, tuple[str, ...]]:
    a, b = metals.a, metals.b
    ways = [_both(test, a, b), _both(test, b, a)]
    best = max(ways, key=lambda t: t.value)
    needs = tuple(key for key, value in zip(metals.keys, (a, b), strict=False) if value is None)
    return best, needs if best is Truth.UNKNOWN else ()


def _both(test: MetalTest, one: frozenset[str] | None, other: frozenset[str] | None) -> Truth:
    wanted = [(test.one_side, one)] + ([(test.other_side, other)] if test.other_side is not None else [])
    truths = [
        Truth.UNKNOWN if side is None else Truth.YES if side & (among or frozenset()) else Truth.NO
        for among, side in wanted
    ]
    return min(truths, key=lambda t: t.value)


def _any_filler(among: frozenset[str], metals: Metals) -> tuple[Truth, tuple[str, ...]]:
    if any(filler & among for filler in metals.fillers if filler is not None):
        return Truth.YES, ()
    return (Truth.UNKNOWN, ("f_number",)) if None in metals.fillers else (Truth.NO, ())


def _any_fits(tests: tuple[MetalTest, ...], metals: Metals) -> tuple[Truth, tuple[str, ...]]:
    if not tests:
        return Truth.YES, ()
    answers = [fits(test, metals) for test in tests]
    best = max((truth for truth, _ in answers), key=lambda t: t.value)
    return best, tuple(
        dict.fromkeys(need for truth, needs in answers if truth is Truth.UNKNOWN for need in needs)
    )


def bending(
    kind: ResultKind,
    tables: SpecimenTables,
    metals: Metals,
    joint: Facts,
    thickness: Decimal | None,
    system: str,
    elongation: Decimal | None,
) -> Bending:
    """How a bend of this kind is made. `thickness` is the coupon's in mm, `elongation` the lower specified
    one of the base metals in percent, `None` where the record does not state it."""
    former, needs = _former_row(tables, metals, elongation, system)
    size, citation, said, more = _specimen(kind, tables, metals, thickness, system)
    needs += more
    citations, sentences = [citation] if citation else [], [said] if said else []
    die: Die | None = None
    most: Decimal | None = None
    taken: Decimal | None = None
    if former is not None:
        citations.append(former.citation)
        sentences.append(former.because)
        if size is not None:
            size = size if former.printed is None else min(size, former.printed.thickness.of(system))
            die, most = _die(former, size, elongation, system)
            taken = _as_formers_are_made(most, system) if former.printed is not None else most
            if taken != most:
                sentences.append(SAID_OF_ROUNDING)
    return Bending(
        size,
        _width(kind, tables, joint, system),
        die,
        most,
        tuple(citations),
        tuple(sentences),
        tuple(dict.fromkeys(needs)),
        taken,
    )


def _former_row(
    tables: SpecimenTables,
    metals: Metals,
    elongation: Decimal | None,
    system: str,
) -> tuple[FormerRow | None, tuple[str, ...]]:
    for row in tables.formers:
        truth, needs = _any_fits(row.metals, metals)
        if truth is Truth.UNKNOWN:
            return None, needs
        if truth is Truth.YES and _for_elongation(row, elongation, system):
            return row, ()
    return None, ()


def _for_elongation(row: FormerRow, elongation: Decimal | None, system: str) -> bool:
    if row.elongation is None:
        return True
    if elongation is None:
        return row.unstated
    return Interval.point(elongation).within(row.elongation.of(system))


def _specimen(
    kind: ResultKind,
    tables: SpecimenTables,
    metals: Metals,
    thickness: Decimal | None,
    system: str,
) -> tuple[Decimal | None, Citation | None, str, tuple[str, ...]]:
    for row in tables.specimens:
        if kind not in row.kinds:
            continue
        truth, needs = _any_fits(row.metals, metals)
        if truth is Truth.UNKNOWN:
            return None, None, "", needs
        if truth is Truth.NO:
            continue
        if row.coupon_thickness is not None or row.thickness is None:
            if thickness is None:
                return None, None, "", ("thickness_thinner",)
            if row.coupon_thickness is not None and not Interval.point(thickness).within(
                row.coupon_thickness.of(system)
            ):
                continue
        return (
            (thickness if row.thickness is None else row.thickness.of(system)),
            row.citation,
            row.because,
            (),
        )
    return None, None, "", ()


def _die(
    row: FormerRow, thickness: Decimal, elongation: Decimal | None, system: str
) -> tuple[Die | None, Decimal | None]:
    """The printed dimensions at the printed specimen thickness, else in proportion to the specimen."""
    if row.printed is None:
        if elongation is None:
            return None, None
        a = thickness * (100 - elongation) / elongation
        return _in_proportion(a, thickness, row.clearance, system), a
    jig = row.printed
    # The metric column prints inch formers next to a rounded specimen thickness; the multiple is that of the
    # inch column.
    by_multiple = jig.a.us * thickness / jig.thickness.us
    if thickness == jig.thickness.of(system):
        a = jig.a.of(system)
        if jig.b is None or jig.c is None or jig.d is None:
            return Die(a, a / 2), max(a, by_multiple)
        return Die(a, jig.b.of(system), jig.c.of(system), jig.d.of(system)), max(a, by_multiple)
    return _in_proportion(by_multiple, thickness, row.clearance, system), by_multiple


_TENTH = Decimal("0.1")


def _as_formers_are_made(largest: Decimal | None, system: str) -> Decimal | None:
    """The largest former of a metric record, where working it out leaves more digits than a former is made or
    measured to: 66.7 mm for 66.67. Never below what was worked out. Multiples of inch fractions are exact."""
    if largest is None or system == US:
        return largest
    return max(largest, largest.quantize(_TENTH, ROUND_HALF_UP))


def _in_proportion(a: Decimal, thickness: Decimal, clearance: Pair | None, system: str) -> Die:
    if clearance is None:
        return Die(a, a / 2)
    c = a + 2 * thickness + clearance.of(system)
    return Die(a, a / 2, c, c / 2)


_FLAT = frozenset(
    {
        ResultKind.FACE_BEND,
        ResultKind.ROOT_BEND,
        ResultKind.LONGITUDINAL_FACE_BEND,
        ResultKind.LONGITUDINAL_ROOT_BEND,
    }
)


def _width(kind: ResultKind, tables: SpecimenTables, joint: Facts, system: str) -> Decimal | None:
    """Width of a face or root bend specimen; a side bend is as wide as the coupon is thick."""
    if kind not in _FLAT:
        return None
    diameter = joint["diameter"]
    for row in tables.widths:
        within = row.diameter is None or (
            isinstance(diameter, Interval) and diameter.within(row.diameter.of(system))
        )
        if joint.is_only("product_form", row.product_form) and within:
            return row.width.of(system)
    return None

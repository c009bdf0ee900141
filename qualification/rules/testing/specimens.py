"""Which tests a coupon has to pass: kinds, numbers, and how the specimens are made and bent.

What the record leaves out is named, never guessed: a requirement that turns on a missing value is listed
under `open`, with the variables to state.
"""

from __future__ import annotations

from decimal import Decimal

from ..core.facts import Coupon, Facts, Side
from ..core.quantities import show
from ..core.values import Interval, Stated
from ..core.words import within_sentence
from ..entries.derive import derive
from ..materials.grouping import group
from ..tabular.edition import Edition
from ..tabular.schema import ConditionSpec
from ..variables.limits import Truth
from ..variables.registry import registry
from .bending import Bending, bending, metals_of
from .requirements import Alternative, Measured, Open, Requirement, Requirements, Specimen, to_state
from .results import BENDS, ResultKind
from .retests import repaired, retest_of, rows_for, with_retest
from .specimen_rows import RetestRow, SpecimenTables, TestsRow, VolumetricRow
from .test_options import Particulars


def measure(coupon: Coupon, edition: Edition) -> Measured:
    """What the tables of required tests go by: thickness and weld metal in mm, `None` where an entry they
    follow from is missing; `missing` names those entries."""
    weld = derive(group(coupon.weld, edition))
    thickness = weld.joint.number("thickness_thinner")
    deposits = [line.number("deposit_thickness") for line in weld.lines]
    whole = (
        None if not deposits or None in deposits else sum((d for d in deposits if d is not None), Decimal(0))
    )
    return Measured(
        joint=weld.joint,
        lines=weld.lines,
        thickness=thickness,
        weld_metal=whole,
        system=coupon.system,
        positions=tuple(sorted(weld.joint.choices("test_position"))),
        metals=edition.metals,
        missing={
            "coupon_thickness": tuple(
                k for k in ("thickness_a", "thickness_b") if weld.joint.number(k) is None
            ),
            "weld_metal": ("deposit_thickness",),
        },
    )


def tables_of(edition: Edition) -> SpecimenTables:
    """The edition's tables of required tests; the caller has asked `Edition.has`."""
    tables = edition.more["specimens"]
    assert isinstance(tables, SpecimenTables)
    return tables


def required_tests(
    coupon: Coupon, edition: Edition, side: Side, particulars: Particulars | None = None
) -> Requirements:
    """The tests the coupon has to pass under `edition`, each with its alternatives and clauses."""
    particulars = particulars or Particulars()
    measured = measure(coupon, edition)
    if not edition.has("specimens"):
        said = f"{edition.name} is here without its required tests, so no result can be judged under it."
        return Requirements(side, (), frozenset(), (Open(said, ()),), measured)
    tables = tables_of(edition)
    kind = measured.joint.choice("weld_type")
    if kind is None:
        return Requirements(
            side, (), frozenset(), (to_state(("weld_type",), "The tests depend on it."),), measured
        )
    rows = [
        row
        for row in tables.tests
        if row.side == side.value and row.weld == kind and row.choice in (None, particulars.bends)
    ]
    if not rows:
        label = within_sentence(registry()["weld_type"].choice_label(kind))
        said = f"{edition.name}: no tests are encoded here for a {label} weld. Judge the coupon by the code."
        return Requirements(side, (), frozenset(), (Open(said, ()),), measured)
    requirements: list[Requirement] = []
    retest = retest_of(measured, tables, side, edition.name)
    unsettled: list[Open] = [*repaired(measured, edition.name)]
    if isinstance(retest, Open):
        unsettled.append(retest)
    whole = measured.joint.including(_processes(measured.lines))
    for position in _coupons(measured, side):
        joint = whole.including({"test_position": frozenset({position})}) if position else whole
        several = len(measured.positions) > 1 and side is Side.WELDER
        for name in dict.fromkeys(row.group for row in rows):
            found = _pick([row for row in rows if row.group == name], joint, measured)
            if isinstance(found, Open):
                unsettled.append(found)
            elif found is not None:
                made = _requirement(found, position if several else "", joint, measured, tables, particulars)
                if isinstance(retest, RetestRow):
                    made = with_retest(made, retest, measured)
                requirements.append(made)
    unsettled += [
        to_state(specimen.needs, f"How the {specimen.kind.words} is made and bent depends on it.")
        for requirement in requirements
        for alternative in requirement.alternatives
        for specimen in alternative.specimens
        if specimen.needs
    ]
    return Requirements(
        side,
        tuple(requirements),
        _extras(tables, side, kind),
        tuple(dict.fromkeys(unsettled)),
        measured,
        rows_for(measured, tables, side),
    )


def _coupons(measured: Measured, side: Side) -> tuple[str, ...]:
    """A welder shows a coupon in each position named on the record; a procedure has one coupon whatever its
    position."""
    return measured.positions if side is Side.WELDER and measured.positions else ("",)


def _processes(lines: tuple[Facts, ...]) -> dict[str, Stated]:
    """All processes of the coupon together, for rows that turn on them; nothing while one is not stated."""
    stated = [line.choices("process") for line in lines]
    return {"process": frozenset().union(*stated)} if stated and all(stated) else {}


def _extras(tables: SpecimenTables, side: Side, weld: str) -> frozenset[ResultKind]:
    return frozenset(
        kind for row in tables.extras if row.side == side.value and row.weld == weld for kind in row.kinds
    )


def _pick(rows: list[TestsRow], joint: Facts, measured: Measured) -> TestsRow | Open | None:
    """The row of one group that fits the coupon, or what keeps it from being told; `None` where none need
    fit."""
    needs: list[str] = []
    for row in rows:
        truth, missing = _holds(row.when, joint, measured.system)
        truth, missing = _within(truth, missing, row, measured)
        if truth is Truth.YES:
            return (
                row
                if row.any_of
                else Open(
                    f"No tests are encoded here for this coupon, {row.citation.short}. {row.because}", ()
                )
            )
        if truth is Truth.UNKNOWN:
            needs += missing
    if all(row.optional for row in rows):
        return None
    clause = rows[0].citation.short
    if needs:
        return to_state(needs, f"The number and kind of tests depend on it, {clause}.")
    return Open(
        f"No row of {clause} fits this coupon; check its weld type, product form and test position.", ()
    )


def _holds(when: tuple[ConditionSpec, ...], joint: Facts, system: str) -> tuple[Truth, tuple[str, ...]]:
    truths = [(spec.of(system).holds_for_all(joint), spec.variable) for spec in when]
    worst = min((truth for truth, _ in truths), key=lambda t: t.value, default=Truth.YES)
    return worst, tuple(
        variable for truth, variable in truths if truth is Truth.UNKNOWN
    ) if worst is Truth.UNKNOWN else ()


def _within(
    truth: Truth, missing: tuple[str, ...], row: TestsRow, measured: Measured
) -> tuple[Truth, tuple[str, ...]]:
    """Take the row's thickness into account as well."""
    for name, span, value in (
        ("coupon_thickness", row.coupon_thickness, measured.thickness),
        ("weld_metal", row.weld_metal, measured.weld_metal),
    ):
        if span is None or truth is Truth.NO:
            continue
        if value is None:
            truth, missing = Truth.UNKNOWN, (*missing, *measured.missing[name])
        elif not Interval.point(value).within(span.of(measured.system)):
            truth, missing = Truth.NO, ()
    return truth, missing


def _requirement(
    row: TestsRow,
    position: str,
    joint: Facts,
    measured: Measured,
    tables: SpecimenTables,
    particulars: Particulars,
) -> Requirement:
    ways = [
        Alternative(
            tuple(_specimen(kind, number, measured, tables, particulars) for kind, number in counts.items()),
            row.citation,
            row.because,
        )
        for counts in row.any_of
    ]
    note = ""
    for volumetric in tables.volumetric:
        if volumetric.side == row.side and volumetric.instead_of == row.group:
            further = _volumetric(volumetric, joint, measured, tables)
            ways += further
            note = "" if further else volumetric.because
    return Requirement(row.group, position, tuple(ways), row.because, row.citation, note)


def _specimen(
    kind: ResultKind,
    number: int,
    measured: Measured,
    tables: SpecimenTables,
    particulars: Particulars,
) -> Specimen:
    if kind not in BENDS:
        return Specimen(kind, number)
    made: Bending = bending(
        kind,
        tables,
        metals_of(measured.joint, measured.lines, measured.metals),
        measured.joint,
        measured.thickness,
        measured.system,
        particulars.elongation,
    )
    return Specimen(
        kind,
        number,
        made.thickness,
        made.width,
        made.die,
        made.former_most,
        made.citations,
        made.sentences,
        made.needs,
        made.former_taken,
    )


def _volumetric(
    row: VolumetricRow, joint: Facts, measured: Measured, tables: SpecimenTables
) -> list[Alternative]:
    """A volumetric examination in place of bends, where every line of the coupon allows it."""
    needs: list[str] = [] if measured.lines else ["process"]
    for line in measured.lines:
        facts = joint.including(line)
        truth, missing = _holds(row.when, facts, measured.system)
        if truth is Truth.NO:
            return []
        needs += missing
        for exemption in row.unless:
            truths = [(spec.of(measured.system).holds(facts), spec.variable) for spec in exemption]
            if all(truth is Truth.YES for truth, _ in truths):
                return []
            if not any(truth is Truth.NO for truth, _ in truths):
                needs += [variable for truth, variable in truths if truth is Truth.UNKNOWN]
    found = []
    for kind in row.kinds:
        missing = tuple(needs)
        method = tables.methods.get(kind)
        if method is not None:
            if measured.thickness is None:
                missing += measured.missing["coupon_thickness"]
            elif not Interval.point(measured.thickness).within(method.coupon_thickness.of(measured.system)):
                continue
        citations = (method.citation,) if method else ()
        specimen = Specimen(kind, 1, citations=citations, because=(method.because,) if method else ())
        found.append(Alternative((specimen,), row.citation, row.because, tuple(dict.fromkeys(missing))))
    return found


def say_specimen(specimen: Specimen, system: str) -> str:
    """One line for a list of specimens to be cut: number, kind, thickness, width and former."""
    parts = [specimen.kind.counted(specimen.number)]
    if specimen.thickness is not None:
        parts.append(f"specimen {show(specimen.thickness, 'length', system)} thick")
    if specimen.width is not None:
        parts.append(f"{show(specimen.width, 'length', system)} wide")
    if specimen.former is not None:
        parts.append(f"former {show(specimen.former, 'length', system)}")
    return ", ".join(parts)

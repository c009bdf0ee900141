"""One coupon under several editions: its ranges side by side, and what is still wanting for each to count.

Nothing here knows a rule. The same coupon is read under each edition by the same `range_qualified`, and what
is wanting is taken from the outcome of its tests and from the limits that cannot be told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..core.facts import Coupon, Side
from ..core.findings import VariableClass
from ..core.values import NotEncoded, Undetermined
from ..core.words import within_sentence
from ..entries.wording import say_allowed, say_conditions
from ..ranges.ranges import LineRange, TestRange, range_qualified
from ..tabular.edition import Edition
from ..testing.outcome import judge
from ..testing.outcome_parts import Outcome, Overall
from ..testing.outcome_parts import RequirementStatus as Result_standing
from ..testing.results import Result, ResultKind
from ..testing.test_options import Particulars
from ..variables.limits import Limit, Truth
from ..variables.metal_systems import SYSTEMS
from ..variables.registry import registry

METALS, PROCESS, POSITION, FILLER = "metals", "process", "position", "filler"
GAS, BACKING, BACKING_GAS, LAYERS = "gas", "backing", "backing_gas", "layers"
LABELS = {
    METALS: "Base metals",
    PROCESS: "Process",
    POSITION: "Position",
    FILLER: "Filler metal",
    GAS: "Shielding gas",
    BACKING: "Backing",
    BACKING_GAS: "Backing gas",
    LAYERS: "Layers and passes",
}
SUBJECTS: Mapping[str, str] = {
    **{variable: METALS for system in SYSTEMS.values() for variable in system.variables},
    **dict.fromkeys(("metal_pair", "base_metal_a", "base_metal_b", "temper_a", "temper_b"), METALS),
    **dict.fromkeys(("process", "iso_process"), PROCESS),
    **dict.fromkeys(("position", "iso_position", "progression"), POSITION),
    **dict.fromkeys(("filler_classification", "f_number", "a_number", "filler_group", "iso_filler"), FILLER),
    **dict.fromkeys(("shielding_gas", "iso_gas", "gas_activity", "helium_share", "co2_share"), GAS),
    **dict.fromkeys(("backed", "backing", "weld_details"), BACKING),
    **dict.fromkeys(("inert_backing", "backing_gas", "iso_backing_gas", "gas_backed"), BACKING_GAS),
    **dict.fromkeys(("passes_per_side", "layering", "layers"), LAYERS),
}
"""What codes say in different terms and mean the same thing by; every other variable is a subject of its
own."""


class Likeness(StrEnum):
    """How the editions' limits on one subject compare."""

    SAME = "same"
    DIFFERENT = "different"
    OTHER_TERMS = "other terms"
    """The editions limit it by variables that cannot be compared number by number."""

    @property
    def words(self) -> str:
        return {
            Likeness.SAME: "The same",
            Likeness.DIFFERENT: "Different",
            Likeness.OTHER_TERMS: "In other terms",
        }[self]


@dataclass(frozen=True)
class Cell:
    """What one edition says on one subject."""

    edition: str
    limits: tuple[Limit, ...]
    words: tuple[str, ...]
    """Each limit in one line; `No limit` alone where the edition sets none."""


@dataclass(frozen=True)
class EditionRow:
    line: int
    """Process line of the coupon, counted from 0."""
    subject: str
    label: str
    cells: tuple[Cell, ...]
    likeness: Likeness


class WantKind(StrEnum):
    SPECIMEN = "specimen"
    """A test that has not been made."""
    READING = "reading"
    """A value the record does not state."""
    RESULT = "result"
    """A result that is there and does not serve."""
    RULE = "rule"
    """Something the edition's tables do not hold; no work on the coupon helps."""


@dataclass(frozen=True)
class Want:
    """One thing the coupon lacks to count under an edition."""

    kind: WantKind
    sentence: str
    specimens: tuple[tuple[ResultKind, int], ...] = ()
    variables: tuple[str, ...] = ()


@dataclass(frozen=True)
class UnderEdition:
    """The coupon under one edition."""

    edition: Edition
    outcome: Outcome
    range: TestRange
    """What it qualifies once nothing is wanting; `counts` says whether that is so now."""
    wants: tuple[Want, ...]
    set_aside: tuple[Result, ...] = ()
    """Results of kinds this edition neither asks nor judges. A coupon made for several codes has them, and
    what they show is for the responsible person to look at."""

    @property
    def counts(self) -> bool:
        return self.outcome.overall is Overall.PASSED and bool(self.range.lines)


@dataclass(frozen=True)
class EditionComparison:
    under: tuple[UnderEdition, ...]
    rows: tuple[EditionRow, ...]

    @property
    def differing(self) -> tuple[EditionRow, ...]:
        return tuple(row for row in self.rows if row.likeness is not Likeness.SAME)


def outcome_under(
    coupon: Coupon,
    results: Sequence[Result],
    edition: Edition,
    side: Side,
    particulars: Particulars | None = None,
) -> tuple[Outcome, tuple[Result, ...]]:
    """The outcome of a coupon made for several codes under one of them, and the results set aside because
    this edition has no place for their kind."""
    outcome = judge(coupon, results, edition, side, particulars, frozenset(ResultKind))
    return outcome, tuple(each.result for each in outcome.set_aside)


def compare(
    coupon: Coupon,
    results: Sequence[Result],
    editions: Sequence[Edition],
    side: Side,
    particulars: Particulars | None = None,
) -> EditionComparison:
    """The coupon (without refusals of its own) under each edition, in the order given."""
    under = tuple(_under(coupon, results, edition, side, particulars) for edition in editions)
    return EditionComparison(under, _rows([each.range for each in under], coupon.system))


def _under(
    coupon: Coupon, results: Sequence[Result], edition: Edition, side: Side, particulars: Particulars | None
) -> UnderEdition:
    outcome, set_aside = outcome_under(coupon, results, edition, side, particulars)
    tested = range_qualified(coupon, edition, side)
    wants = (*_from_outcome(outcome), *_from_range(tested))
    return UnderEdition(edition, outcome, tested, tuple(dict.fromkeys(wants)), set_aside)


def _from_outcome(outcome: Outcome) -> list[Want]:
    found = []
    for line in outcome.lines:
        if line.lacking:
            asked = " and ".join(kind.counted(number) for kind, number in line.lacking)
            where = (
                f" in position {line.requirement.position}"
                if line.requirement and line.requirement.position
                else ""
            )
            clause = f", {line.citation.short}" if line.citation else ""
            found.append(Want(WantKind.SPECIMEN, f"Make {asked}{where}{clause}.", line.lacking))
        elif line.standing is not Result_standing.PASSED:
            found.append(Want(WantKind.RESULT, line.sentence))
    for item in outcome.requirements.open:
        kind = WantKind.READING if item.needs else WantKind.RULE
        found.append(Want(kind, item.sentence, variables=item.needs))
    return [*found, *(Want(WantKind.RESULT, misfit.message) for misfit in outcome.misfits)]


def _from_range(tested: TestRange) -> list[Want]:
    found = [Want(WantKind.RULE, refusal) for refusal in tested.refusals]
    waiting: dict[tuple[str, ...], list[Limit]] = {}
    for line in tested.lines:
        # What does not speak of the coupon itself, for its metal or its kind of weld, does not wait for it.
        for limit in (limit for limit in _binding(line) if limit.speaks(line.facts)[0] is not Truth.NO):
            if isinstance(limit.allowed, Undetermined):
                waiting.setdefault(limit.allowed.needs, []).append(limit)
            elif isinstance(limit.allowed, NotEncoded) and not limit.unless:
                label = within_sentence(registry()[limit.variable].label)
                found.append(
                    Want(
                        WantKind.RULE,
                        f"No rule on {label} is encoded, {limit.citation.short}.",
                        variables=(limit.variable,),
                    )
                )
    return [*found, *(_reading(needs, limits) for needs, limits in waiting.items())]


def _reading(needs: tuple[str, ...], limits: Sequence[Limit]) -> Want:
    """One value to state, with all that turns on it."""
    needed = _joined([registry()[need].label for need in needs])
    marked = [
        registry()[key].label
        for limit in limits
        if isinstance(limit.allowed, Undetermined)
        for key in limit.allowed.marked
    ]
    subjects = _joined([registry()[limit.variable].label for limit in limits])
    clauses = ", ".join(dict.fromkeys(limit.citation.clause for limit in limits))
    if marked:
        needed += (
            f", though the record says that {_joined(marked)} {'does' if len(set(marked)) == 1 else 'do'} not"
            " apply"
        )
    return Want(
        WantKind.READING,
        f"State {needed}: what is qualified of {subjects} depends on it ({clauses}).",
        variables=needs,
    )


def _joined(labels: Sequence[str]) -> str:
    """`current, voltage and travel speed`, each once."""
    words = list(dict.fromkeys(within_sentence(label) for label in labels))
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _binding(line: LineRange) -> tuple[Limit, ...]:
    return tuple(limit for limit in line.limits if limit.standing is not VariableClass.NONESSENTIAL)


def _rows(ranges: Sequence[TestRange], system: str) -> tuple[EditionRow, ...]:
    """A row for each subject that any edition limits, in the order of the registry."""
    rows = []
    for index in sorted({line.line for tested in ranges for line in tested.lines}):
        limits = [
            _by_subject(next((line for line in tested.lines if line.line == index), None))
            for tested in ranges
        ]
        for subject in sorted({subject for each in limits for subject in each}, key=_place):
            listed = [each.get(subject, ()) for each in limits]
            cells = tuple(
                Cell(tested.edition, found, tuple(_words(limit, system) for limit in found) or ("No limit",))
                for tested, found in zip(ranges, listed, strict=True)
            )
            rows.append(
                EditionRow(
                    index, subject, LABELS.get(subject) or registry()[subject].label, cells, _likeness(listed)
                )
            )
    return tuple(rows)


def _by_subject(line: LineRange | None) -> dict[str, tuple[Limit, ...]]:
    found: dict[str, tuple[Limit, ...]] = {}
    for limit in _binding(line) if line else ():
        subject = SUBJECTS.get(limit.variable, limit.variable)
        found[subject] = (*found.get(subject, ()), limit)
    return found


def _place(subject: str) -> int:
    """Where the first variable of a subject stands in the registry."""
    order = list(registry())
    return min(
        order.index(key)
        for key in (*(k for k, v in SUBJECTS.items() if v == subject), subject)
        if key in registry()
    )


def _words(limit: Limit, system: str) -> str:
    when = say_conditions(limit.when, limit.unless, system)
    said = (
        f"{registry()[limit.variable].label}:"
        f" {within_sentence(say_allowed(limit.variable, limit.allowed, system))}"
    )
    return f"{said} ({when})" if when else said


def _likeness(listed: Sequence[tuple[Limit, ...]]) -> Likeness:
    said = [
        {(limit.variable, limit.allowed, limit.when, limit.unless) for limit in limits} for limits in listed
    ]
    if all(each == said[0] for each in said):
        return Likeness.SAME
    terms = [{variable for variable, *_ in each} for each in said if each]
    shared = set.intersection(*terms) if terms else set()
    return Likeness.DIFFERENT if len(terms) < len(said) or shared else Likeness.OTHER_TERMS

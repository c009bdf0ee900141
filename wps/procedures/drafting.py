"""Drafts of procedures that begin with what is on file: a passed test, a procedure, a weld of a job."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from qualification.evidence.coverage import Judgement, judge_weld, range_of
from qualification.models import ProcedureTest
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.core.findings import Verdict
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import Entry, read_weld
from qualification.rules.variables.definition import Level, RecordKind, ValueKind
from qualification.rules.variables.registry import registry
from qualification.trials.entries import entry_of
from wps.models import Part, Spec

WIDENED = {
    "thickness_a": ("thickness_thinner", "thickness_thicker"),
    # A weld that fills thinner metal deposits less, so the deposit begins as low as the metal does.
    "deposit_thickness": ("deposit_thickness", "thickness_thinner"),
    "amps": ("amps",),
    "volts": ("volts",),
    "wire_feed": ("wire_feed",),
    "travel_speed": ("travel_speed",),
}
"""Entries a draft claims as widely as the test allows, and the limits that speak of them. All else stays as
welded, and so does a setting the code sets no two ends to: how far to go is a choice of the author's."""
POSITION = "position"
WELDED_IN = {"1": "flat", "2": "horizontal", "3": "vertical", "4": "overhead"}
"""What the number of a plate coupon's test position says: 3G was welded vertical."""

Entries = Mapping[str, Entry]


@dataclass(frozen=True)
class Draft:
    """Entries a procedure can begin with, in the units of the test they come from."""

    joint: dict[str, Entry]
    lines: list[dict[str, Entry]]
    widened: tuple[str, ...] = ()
    """Labels of the entries that claim more than was welded, because the test carries more."""

    def put(self, line: int | None, key: str, entry: Entry) -> Draft:
        """The same with one entry replaced; `line` is None for the joint."""
        joint, lines = dict(self.joint), deepcopy(self.lines)
        (joint if line is None else lines[line])[key] = entry
        return replace(self, joint=joint, lines=lines)


def next_procedure_number() -> str:
    """The number after the last of the shop's own series."""
    return next_number(
        Spec.objects.filter(revision=0).order_by("id").values_list("number", flat=True), "WPS-001"
    )


def draft_from_test(test: ProcedureTest) -> Draft:
    """What was welded, with positions, thicknesses and settings as wide as the test carries them."""
    draft = Draft(_usable(test.joint), [_usable(line) for line in test.lines])
    if test.joint.get("impact_tested") == "no":
        # The narrow claim: a coupon without toughness tests is for work that asks for no toughness.
        draft = draft.put(None, "toughness_required", "no")
    if welded := _welded_in(test):
        draft = draft.put(None, POSITION, welded)
    if (joined := draft.joint.get("thickness_b")) and joined == draft.joint.get("thickness_a"):
        draft = draft.put(None, "thickness_b", "same")
    refused_before = _refused(_judged(draft, test))
    for line, key, entry in (*_positions(test), *_wider(test)):
        tried = draft.put(line, key, entry)
        if key == "thickness_a" and tried.joint.get("thickness_b") != "same":
            tried = tried.put(None, "thickness_b", entry)
        if tried != draft and _refused(_judged(tried, test)) <= refused_before:
            draft = replace(tried, widened=(*tried.widened, registry()[key].label))
    return replace(draft, widened=tuple(dict.fromkeys(draft.widened)))


def laid_over(draft: Draft, part: Part, units: str) -> Draft:
    """The draft with what a weld of a job asks for: as drawn, but for thicknesses the draft claims
    already."""
    drawn = read_weld(part.joint, part.lines, RecordKind.PART, part.units).weld
    claimed = read_weld(draft.joint, draft.lines, RecordKind.SPEC, units).weld
    for key, entry in _usable(part.joint).items():
        if not _claims(claimed.joint[key], drawn.joint[key]):
            draft = draft.put(None, key, _in_units(key, entry, drawn.joint[key], part.units, units))
    for at, entries in enumerate(part.lines):
        line = next(
            (i for i, own in enumerate(draft.lines) if own.get("process") == entries.get("process")), None
        )
        if line is None:
            continue
        for key, entry in _usable(entries).items():
            if not _claims(claimed.lines[line][key], drawn.lines[at][key]):
                draft = draft.put(line, key, _in_units(key, entry, drawn.lines[at][key], part.units, units))
    return draft


def start_from_test(test: ProcedureTest, person: Person, part: Part | None = None) -> tuple[Spec, Draft]:
    """Store a procedure draft that rests on the test, for a weld of a job where one is given."""
    draft = draft_from_test(test)
    if part is not None:
        draft = laid_over(draft, part, test.units)
    spec = Spec(
        title=(part.title if part else test.title)[:120],
        edition=test.edition,
        units=test.units,
        joint=draft.joint,
        lines=draft.lines,
        customer=part.job.customer if part else "",
    )
    return store(spec, person, [test]), draft


def start_like(spec: Spec, person: Person) -> Spec:
    """Store a draft with the entries and tests of another procedure, under a number of its own."""
    names = ("title", "edition", "units", "joint", "lines", "notes", "customer", "joint_note", "prequalified")
    return store(Spec(**{name: deepcopy(getattr(spec, name)) for name in names}), person, spec.tests.all())


def start_for_part(part: Part, person: Person) -> Spec:
    """Store a draft that says what the drawing says, with no test behind it yet."""
    spec = Spec(
        title=part.title[:120],
        edition=part.job.edition,
        units=part.units,
        joint=_usable(part.joint),
        lines=[_usable(line) for line in part.lines],
        customer=part.job.customer,
    )
    return store(spec, person, [])


def store(spec: Spec, person: Person, tests: Iterable[ProcedureTest]) -> Spec:
    """Store a new procedure draft under the next number of the series."""
    with transaction.atomic():
        spec.number = next_procedure_number()
        create_draft(spec, person, {"tests": tests})
    return spec


def _usable(entries: Entries) -> dict[str, Entry]:
    """Entries a procedure has a place for."""
    return {
        key: entry
        for key, entry in entries.items()
        if entry and key in registry() and RecordKind.SPEC in registry()[key].uses
    }


def _judged(draft: Draft, test: ProcedureTest) -> Judgement:
    return judge_weld(draft.joint, draft.lines, test.units, RecordKind.SPEC, [test], test.edition)


def _refused(judged: Judgement) -> set[tuple[int | None, str, str]]:
    """What speaks against the draft. A value still to be stated does not: the check shows it as unknown until
    it is."""
    against = (finding for finding in judged.report.obstacles if finding.verdict is not Verdict.UNKNOWN)
    findings = {(finding.line, finding.variable, finding.verdict.key) for finding in against}
    return findings | {(problem.line, problem.key, problem.message) for problem in judged.problems}


def _wider(test: ProcedureTest) -> Iterator[tuple[int | None, str, Entry]]:
    """Wider entries to try, the widest of each first to last: the engine says which of them hold."""
    welded = read_weld(test.joint, test.lines, RecordKind.TEST, test.units).weld
    tested = range_of(test)
    for key, limiting in WIDENED.items():
        at_joint = registry()[key].level is Level.JOINT
        for line in tested.lines:
            own = welded.joint[key] if at_joint else welded.lines[line.line][key]
            spans = [
                limit.allowed
                for limit in line.limits
                if limit.variable in limiting and isinstance(limit.allowed, Interval)
            ]
            if isinstance(own, Interval) and own.low is not None and own.high is not None:
                for span in _candidates(own, spans):
                    yield None if at_joint else line.line, key, entry_of(span, key, test.units, inward=True)


def _welded_in(test: ProcedureTest) -> list[str]:
    """The positions a plate coupon was welded in: a procedure states them, and a coupon only how it lay."""
    lay = read_weld(test.joint, test.lines, RecordKind.TEST, test.units).weld.joint["test_position"]
    if not isinstance(lay, frozenset) or not {each[0] for each in lay} <= WELDED_IN.keys():
        return []
    welded = {WELDED_IN[each[0]] for each in lay}
    return [choice.key for choice in registry()[POSITION].choices if choice.key in welded]


def _positions(test: ProcedureTest) -> Iterator[tuple[int | None, str, Entry]]:
    """The positions that a limit of the test names, fewest first."""
    allowed = {
        limit.allowed
        for line in range_of(test).lines
        for limit in line.limits
        if limit.variable == POSITION and isinstance(limit.allowed, frozenset)
    }
    order = [choice.key for choice in registry()[POSITION].choices]
    for named in sorted(allowed, key=lambda each: (len(each), sorted(each))):
        yield None, POSITION, [key for key in order if key in named]


def _candidates(own: Interval, spans: Sequence[Interval]) -> list[Interval]:
    """Spans from what was welded out to each limit, the narrowest first, so that the last that holds is the
    widest."""
    assert own.low is not None
    assert own.high is not None
    lows = sorted({span.low for span in spans if span.low is not None and span.low < own.low}, reverse=True)
    highs = sorted({span.high for span in spans if span.high is not None and span.high > own.high})
    return [
        Interval(low, high)
        for low in [own.low, *lows]
        for high in [own.high, *highs]
        if (low, high) != (own.low, own.high)
    ]


def _claims(claimed: Any, drawn: Any) -> bool:
    """True where the draft's span holds what is drawn already, or where nothing is drawn."""
    if not isinstance(claimed, Interval) or not isinstance(drawn, Interval):
        return False
    return drawn.within(claimed)


def _in_units(key: str, entry: Entry, value: Any, written_in: str, units: str) -> Entry:
    """An entry of a weld drawn in other units, as one would type it in those of the draft."""
    if written_in == units or registry()[key].kind is not ValueKind.NUMBER or not isinstance(value, Interval):
        return entry
    return entry_of(value, key, units, inward=True)

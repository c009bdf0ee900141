"""What the results of a coupon's tests amount to: each requirement passed, failed or missing, and the
whole.

All results entered have to pass, also those beyond what is asked. A specimen that was not made or bent as
the code asks does not count. A retest is a new record; it does not heal this one.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..core.facts import Coupon, Side
from ..core.findings import Citation, Provenance
from ..core.values import Interval
from ..core.words import within_sentence
from ..tabular.edition import Edition
from ..variables.limits import Truth
from ..variables.registry import registry
from .acceptance.check import CheckAnswer, ResultMark, Surroundings
from .acceptance.register import CHECKS
from .outcome_parts import (
    Aside,
    Checked,
    JudgedResult,
    Misfit,
    Outcome,
    OutcomeLine,
    Overall,
    RequirementStatus,
    with_capital,
)
from .requirements import Alternative, Requirement, Requirements
from .results import Result, ResultKind
from .specimen_rows import CheckRow
from .specimens import required_tests
from .strength import Minimum, NoMinimum, minimum_of
from .test_options import Particulars


def judge(
    coupon: Coupon,
    results: Sequence[Result],
    edition: Edition,
    side: Side,
    particulars: Particulars | None = None,
    elsewhere: frozenset[ResultKind] = frozenset(),
) -> Outcome:
    """Hold the results of a coupon against what `edition` asks of it. Results of the kinds `elsewhere`, which
    another edition asks, are set aside where this one has no place for them: neither a slip, nor judged."""
    particulars = particulars or Particulars()
    required = required_tests(coupon, edition, side, particulars)
    minimum = minimum_of(required.measured.joint, edition, coupon.system, particulars.stated_minimum)
    aside = tuple(
        Aside(r, i) for i, r in enumerate(results) if r.kind in elsewhere and r.kind not in required.kinds
    )
    left_out = {each.index for each in aside}
    misfits = tuple(misfit for misfit in _strangers(results, required) if misfit.index not in left_out)
    strange = left_out | {misfit.index for misfit in misfits}
    judged = [
        _judge(result, index, required, edition, minimum)
        for index, result in enumerate(results)
        if index not in strange
    ]
    lines = [_line(requirement, judged) for requirement in required.requirements]
    taken = {j.index for line in lines for j in line.judged}
    further = tuple(j for j in judged if j.index not in taken)
    if further:
        lines.append(_further(further))
    misfits += tuple(
        Misfit(j.index, c.answer.field, f"{j.name}: {c.answer.sentence}")
        for j in judged
        for c in j.checks
        if c.answer.mark is ResultMark.NOT_COUNTED
    )
    return Outcome(
        required, tuple(lines), misfits, _overall(lines, required, bool(strange - left_out)), aside
    )


def refusals(outcome: Outcome) -> tuple[str, ...]:
    """Why the coupon qualifies nothing, sentence by sentence; empty only when everything required is there
    and passed."""
    said = [item.sentence for item in outcome.requirements.open]
    said += [misfit.message for misfit in outcome.misfits]
    said += [line.sentence for line in outcome.lines if line.standing is not RequirementStatus.PASSED]
    if outcome.overall is not Overall.PASSED:
        return tuple(dict.fromkeys(said)) or ("Nothing on this record can be judged yet.",)
    return ()


def _overall(lines: Sequence[OutcomeLine], required: Requirements, strangers: bool) -> Overall:
    if any(line.standing is RequirementStatus.FAILED for line in lines):
        return Overall.FAILED
    if (
        strangers
        or required.open
        or not required.requirements
        or any(line.standing is RequirementStatus.MISSING for line in lines)
    ):
        return Overall.INCOMPLETE
    return Overall.PASSED


def _strangers(results: Sequence[Result], required: Requirements) -> tuple[Misfit, ...]:
    """Results of a kind the coupon does not take, or of a position it was not welded in."""
    if not required.requirements:
        return ()  # what the coupon takes is not known yet
    found = []
    taken = ", ".join(kind.words for kind in ResultKind if kind in required.kinds)
    positions = required.measured.positions
    what = "welder's coupon" if required.side is Side.WELDER else "procedure coupon"
    for index, result in enumerate(results):
        name = f"{result.kind.words[:1].upper()}{result.kind.words[1:]} {result.specimen}".strip()
        if result.kind not in required.kinds:
            found.append(
                Misfit(
                    index,
                    "kind",
                    f"{name}: this {what} does not take a {result.kind.words}. "
                    f"Remove it, or enter it as one of: {taken}.",
                )
            )
        elif result.position and positions and result.position not in positions:
            found.append(
                Misfit(
                    index,
                    "position",
                    f"{name}: it is entered for {result.position}, "
                    f"but the coupon was welded in {' and '.join(positions)}. "
                    "Correct the position.",
                )
            )
        elif not result.position and required.side is Side.WELDER and len(positions) > 1:
            found.append(
                Misfit(
                    index,
                    "position",
                    f"{name}: state the position its coupon was welded in: {' or '.join(positions)}.",
                )
            )
    return tuple(found)


def checks_of(edition: Edition) -> tuple[CheckRow, ...]:
    """What the edition looks at in results; empty where it has no such table."""
    found = edition.more.get("acceptance", ())
    assert isinstance(found, tuple)
    return found


def _judge(
    result: Result, index: int, required: Requirements, edition: Edition, minimum: Minimum | NoMinimum
) -> JudgedResult:
    measured = required.measured
    rows = [
        row
        for row in checks_of(edition)
        if result.kind in row.kinds and row.side in (None, required.side.value)
    ]
    around = Surroundings(
        system=measured.system,
        joint=measured.joint,
        thickness=measured.thickness,
        specimen=required.specimen(result.kind),
        minimum=minimum,
        relief=next((row for row in rows if row.check == "base_metal_break"), None),
    )
    checks = [checked for row in rows if (checked := _check(row, result, around)) is not None]
    if not checks:
        said = (
            f"{edition.name} is here without a rule of acceptance for a {result.kind.words}, so it cannot be"
            " judged."
        )
        nowhere = Citation(edition.code, edition.edition, "", Provenance.MEMORY)
        checks = [
            Checked(
                CheckAnswer(ResultMark.INCOMPLETE, said),
                "What is not encoded is never taken as met.",
                nowhere,
            )
        ]
    return JudgedResult(result, index, _mark(result, checks), tuple(checks))


def _mark(result: Result, checks: Sequence[Checked]) -> ResultMark:
    """A specimen that does not count cannot pass; a defect seen on it stands. A tension specimen of the
    wrong form cannot even fail: the minimum is not for it."""
    marks = {checked.answer.mark for checked in checks}
    if ResultMark.NOT_COUNTED in marks and (
        result.kind is ResultKind.TENSION or ResultMark.FAILED not in marks
    ):
        return ResultMark.NOT_COUNTED
    return max(marks)


def _check(row: CheckRow, result: Result, around: Surroundings) -> Checked | None:
    applies, missing = _applies(row, around)
    if applies is Truth.NO:
        return None
    answer = CHECKS[row.check].judge(row, result, around)
    if answer is None:
        return None
    if applies is Truth.UNKNOWN and answer.mark is not ResultMark.PASSED:
        answer = CheckAnswer(
            ResultMark.INCOMPLETE,
            f"State {missing}; whether this matters depends on it: {answer.sentence}",
            answer.field,
            answer.found,
            answer.limit,
        )
    relied = around.relief if answer.relieved and around.relief is not None else row
    return Checked(answer, relied.because, relied.citation)


def _applies(row: CheckRow, around: Surroundings) -> tuple[Truth, str]:
    truth, missing = Truth.YES, ""
    for spec in row.when:
        holds = spec.of(around.system).holds(around.joint)
        if holds is Truth.NO:
            return Truth.NO, ""
        if holds is Truth.UNKNOWN:
            truth, missing = Truth.UNKNOWN, within_sentence(registry()[spec.variable].label)
    if row.coupon_thickness is not None:
        if around.thickness is None:
            return Truth.UNKNOWN, "thickness"
        if not Interval.point(around.thickness).within(row.coupon_thickness.of(around.system)):
            return Truth.NO, ""
    return truth, missing


def _line(requirement: Requirement, judged: Sequence[JudgedResult]) -> OutcomeLine:
    mine = tuple(
        j
        for j in judged
        if j.result.kind in requirement.kinds
        and (not requirement.position or j.result.position == requirement.position)
    )
    where = f" in position {requirement.position}" if requirement.position else ""
    failed = [j for j in mine if j.mark is ResultMark.FAILED]
    if failed:
        said = " ".join(
            f"{j.name}: {c.answer.sentence}"
            for j in failed
            for c in j.obstacles
            if c.answer.mark is ResultMark.FAILED
        )
        return OutcomeLine(
            requirement,
            RequirementStatus.FAILED,
            f"Failed{where}. {said}",
            failed[0].obstacles[0].citation,
            mine,
        )
    way = next((w for w in requirement.alternatives if not w.needs and not _lacking(w, mine)), None)
    incomplete = [j for j in mine if j.mark is ResultMark.INCOMPLETE]
    if way is not None and not incomplete:
        return OutcomeLine(
            requirement,
            RequirementStatus.PASSED,
            f"{with_capital(way.words)}{where} passed.",
            way.citation,
            mine,
        )
    waiting = [
        f"{j.name}: {c.answer.sentence}"
        for j in incomplete
        for c in j.obstacles
        if c.answer.mark is ResultMark.INCOMPLETE
    ]
    lacking: dict[ResultKind, int] = {}
    if way is None:
        nearest, lacking = _nearest(requirement, mine)
        waiting.insert(0, _what_is_missing(requirement, nearest, lacking, where))
    return OutcomeLine(
        requirement,
        RequirementStatus.MISSING,
        " ".join(waiting),
        requirement.citation,
        mine,
        tuple(lacking.items()),
    )


def _lacking(way: Alternative, mine: Sequence[JudgedResult]) -> dict[ResultKind, int]:
    """How many passed specimens of each kind are wanting."""
    found = {s.kind: s.number - _passed(s.kind, mine) for s in way.specimens}
    return {kind: number for kind, number in found.items() if number > 0}


def _passed(kind: ResultKind, mine: Sequence[JudgedResult]) -> int:
    """Passed specimens of one kind; strips of one set stand for one specimen."""
    passed = [j.result for j in mine if j.result.kind is kind and j.mark is ResultMark.PASSED]
    strips = {getattr(r, "strip_of", "") for r in passed}
    return sum(1 for r in passed if not getattr(r, "strip_of", "")) + len(strips - {""})


def _nearest(
    requirement: Requirement, mine: Sequence[JudgedResult]
) -> tuple[Alternative, dict[ResultKind, int]]:
    """The way that is nearest to being complete, and what it still lacks."""
    begun = [way for way in requirement.alternatives if any(_passed(s.kind, mine) for s in way.specimens)]
    nearest = min(begun or requirement.alternatives[:1], key=lambda way: sum(_lacking(way, mine).values()))
    return nearest, _lacking(nearest, mine)


def _what_is_missing(
    requirement: Requirement, nearest: Alternative, lacking: dict[ResultKind, int], where: str
) -> str:
    """What would complete the nearest way."""
    asked = f"Asked{where}: {requirement.words}, {requirement.citation.short}. {requirement.note}".rstrip()
    if not lacking and nearest.needs:
        labels = " and ".join(within_sentence(registry()[need].label) for need in nearest.needs)
        return f"{asked} Whether {nearest.words} may be used depends on {labels}; state it."
    if lacking == {s.kind: s.number for s in nearest.specimens}:
        return f"{asked} None of it is on the record yet."
    return f"{asked} Still missing: {' and '.join(kind.counted(number) for kind, number in lacking.items())}."


def _further(judged: tuple[JudgedResult, ...]) -> OutcomeLine:
    failed = [j for j in judged if j.mark is ResultMark.FAILED]
    unsure = [j for j in judged if j.mark in (ResultMark.INCOMPLETE, ResultMark.NOT_COUNTED)]
    if not failed and not unsure:
        return OutcomeLine(None, RequirementStatus.PASSED, "Further results passed.", None, judged)
    worst = failed or unsure
    said = " ".join(f"{j.name}: {c.answer.sentence}" for j in worst for c in j.obstacles)
    standing = RequirementStatus.FAILED if failed else RequirementStatus.MISSING
    return OutcomeLine(
        None,
        standing,
        f"A further result {'failed' if failed else 'is incomplete'}. {said}",
        worst[0].obstacles[0].citation,
        judged,
    )

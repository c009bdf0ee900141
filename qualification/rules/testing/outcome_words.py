"""The outcome of a coupon's tests in words, as plain values: what page, document and snapshot show of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from ..core.findings import Citation
from ..core.quantities import SI, US, show_both
from ..core.values import Interval
from .acceptance.check import ResultMark
from .acceptance.strength import show_strength
from .outcome_parts import (
    Checked,
    JudgedResult,
    Misfit,
    Outcome,
    OutcomeLine,
    Overall,
    RequirementStatus,
    name_of,
)
from .requirements import Alternative
from .result_fields import FIELDS, ResultField, Shape
from .result_words import CAUSE_WORDS, INDICATION_WORDS
from .results import Cladding, Indication, Opening, Result, SpecimenForm, Tension
from .specimens import say_specimen

VERDICTS: Mapping[Overall | RequirementStatus | ResultMark, str] = {
    Overall.PASSED: "covered",
    Overall.FAILED: "not_covered",
    Overall.INCOMPLETE: "unknown",
    RequirementStatus.PASSED: "covered",
    RequirementStatus.FAILED: "not_covered",
    RequirementStatus.MISSING: "unknown",
    ResultMark.PASSED: "covered",
    ResultMark.FAILED: "not_covered",
    ResultMark.INCOMPLETE: "unknown",
    ResultMark.NOT_COUNTED: "no_rule",
}
"""Shape under which a page shows each state."""


def outcome_content(outcome: Outcome, system: str) -> dict[str, Any]:
    """Every requirement with its alternatives, results and clauses; open questions; results that do not
    fit."""
    return {
        "overall": outcome.overall.value,
        "overall_words": outcome.overall.words,
        "verdict": VERDICTS[outcome.overall],
        "lines": [_line(line, system) for line in outcome.lines],
        "open": [item.sentence for item in outcome.requirements.open],
        "misfits": [misfit.message for misfit in misfits_shown(outcome)],
        "moved": moved_sentences(outcome),
        "retests": retest_sentences(outcome),
    }


def retest_sentences(outcome: Outcome) -> list[str]:
    """Of a test that failed: what a retest takes under its edition, each with its clause."""
    if outcome.overall is not Overall.FAILED:
        return []
    return [f"{row.because} {row.citation.short}." for row in outcome.requirements.retests]


def moved_sentences(outcome: Outcome) -> list[str]:
    """Of a record put under another edition: which of its results this one uses, which not, and which it
    misses."""
    moved = outcome.moved
    if moved is None:
        return []
    before = " and ".join(name for name, _ in moved.before)
    found = [
        f"Judged by the required tests of {moved.under} alone. Results were entered while it was under"
        f" {before}."
    ]
    judged = [each for line in outcome.lines for each in line.judged]
    used = [each.name for each in judged if each.mark in (ResultMark.PASSED, ResultMark.FAILED)]
    begun = [each.name for each in judged if each.mark not in (ResultMark.PASSED, ResultMark.FAILED)]
    if used:
        found.append(f"Used: {_listed(used)}.")
    elif not begun:
        found.append(f"{moved.under} uses none of its results.")
    if begun:
        found.append(f"Used once {moved.under} is told what else it asks of them: {_listed(begun)}.")
    if outcome.set_aside:
        names = _listed([name_of(each.result) for each in outcome.set_aside])
        found.append(
            f"Not used, since {moved.under} asks for none of the kind: {names}. What they show is for the"
            " responsible person to judge."
        )
    missing = [words for line in outcome.lines if (words := _missing(line))]
    if missing:
        found.append(f"Missing: {'; '.join(missing)}.")
    found += [
        f"Under {name} the results amount to: {overall.words.lower()}." for name, overall in moved.before
    ]
    return found


def _missing(line: OutcomeLine) -> str:
    """Specimens of a requirement that are not there at all."""
    where = (
        f" in position {line.requirement.position}" if line.requirement and line.requirement.position else ""
    )
    if line.requirement and line.lacking and not line.judged:
        return f"{line.requirement.words}{where}"
    begun = [
        each.result.kind for each in line.judged if each.mark not in (ResultMark.PASSED, ResultMark.FAILED)
    ]
    wanted = [kind.counted(left) for kind, number in line.lacking if (left := number - begun.count(kind)) > 0]
    return f"{' and '.join(wanted)}{where}" if wanted else ""


def _listed(names: Sequence[str]) -> str:
    """`Visual examination V1, face bend F1 and root bend R1`."""
    words = [
        name if index == 0 else name[:1].lower() + name[1:] for index, name in enumerate(dict.fromkeys(names))
    ]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def misfits_shown(outcome: Outcome) -> list[Misfit]:
    """Misfits that no line of the outcome tells of already."""
    told = {judged.index for line in outcome.lines for judged in line.judged}
    return [misfit for misfit in outcome.misfits if misfit.index not in told]


def citation_content(citation: Citation) -> dict[str, Any]:
    """Clause, provenance and sources as `_citation.html` shows them."""
    return {
        "clause": citation.clause,
        "code": citation.code,
        "edition": citation.edition,
        "provenance": citation.provenance.value,
        "provenance_words": citation.provenance.words,
        "sources": [{"title": s.title, "url": s.url} for s in citation.sources],
        "remark": citation.remark,
    }


def _line(line: OutcomeLine, system: str) -> dict[str, Any]:
    requirement = line.requirement
    return {
        "asked": _capital(requirement.words) if requirement else "Beyond what is asked",
        "position": requirement.position if requirement else "",
        "because": requirement.because if requirement else "",
        "ways": [_way(way, system) for way in requirement.alternatives] if requirement else [],
        "state": line.standing.value,
        "state_words": line.standing.words,
        "verdict": VERDICTS[line.standing],
        "sentence": line.sentence,
        "citation": citation_content(line.citation) if line.citation else None,
        "results": [judged_content(judged, system) for judged in line.judged],
    }


def _way(way: Alternative, system: str) -> dict[str, Any]:
    return {
        "words": way.words,
        "specimens": [say_specimen(s, system) for s in way.specimens],
        "because": way.because,
    }


def judged_content(judged: JudgedResult, system: str) -> dict[str, Any]:
    """One result: as stated, as worked out, and every check on it."""
    return {
        "name": judged.name,
        "kind_words": _capital(judged.result.kind.words),
        "specimen": judged.result.specimen,
        "index": judged.index,
        "mark": judged.mark.name.lower(),
        "mark_words": judged.mark.words,
        "verdict": VERDICTS[judged.mark],
        "stated": stated_rows(judged.result, system),
        "worked_out": worked_out_rows(judged.result, system),
        "checks": [
            _check(c)
            for c in (*judged.obstacles, *(c for c in judged.checks if c.answer.mark is ResultMark.PASSED))
            if c.answer.sentence
        ],
    }


def _check(checked: Checked) -> dict[str, Any]:
    return {
        "sentence": checked.answer.sentence,
        "because": checked.because,
        "verdict": VERDICTS[checked.answer.mark],
        "mark_words": checked.answer.mark.words,
        "citation": citation_content(checked.citation),
    }


def stated_rows(result: Result, system: str) -> list[dict[str, str]]:
    """What was stated of a result, in words and both unit systems; what was left out is left out."""
    rows = []
    for definition in FIELDS[result.kind]:
        if definition.key == "specimen" or _is_ordinary(getattr(result, definition.key)):
            continue
        words = say_field(getattr(result, definition.key), definition, system)
        if words:
            rows.append({"label": definition.label, "words": words})
    return rows


_ORDINARY = frozenset({SpecimenForm.REDUCED, Cladding.NONE})
"""What a result takes to be so while nobody says otherwise; it is not repeated as if somebody had stated
it."""


def _is_ordinary(value: Any) -> bool:
    return isinstance(value, SpecimenForm | Cladding) and value in _ORDINARY


def worked_out_rows(result: Result, system: str) -> list[dict[str, str]]:
    """What follows from the measurements: cross-section and strength. Nobody types these."""
    if not isinstance(result, Tension):
        return []
    rows, other = [], SI if system == US else US
    area = result.area_in(system)
    second_area = result.area_in(other)
    if area is not None and second_area is not None:
        rows.append(
            {
                "label": "Cross-section",
                "words": f"{_show_area(area, system)} ({_show_area(second_area, other)})",
            }
        )
    strength, second = result.worked_out(system), result.worked_out(other)
    if strength is not None and second is not None:
        rows.append(
            {
                "label": "Strength",
                "words": f"{show_strength(strength, system)} ({show_strength(second, other)})",
            }
        )
    return rows


def _show_area(area: Decimal, system: str) -> str:
    places, unit = ("0.0001", "in²") if system == US else ("0.1", "mm²")
    return f"{area.quantize(Decimal(places)).normalize():f} {unit}"


def say_field(value: Any, definition: ResultField, system: str) -> str:
    """A field of a result in words and both unit systems; empty when it is not stated."""
    if value is None or value == "":
        return ""
    if definition.shape is Shape.YES_NO:
        return "Yes" if value else "No"
    if definition.shape is Shape.CHOICE:
        return next((c.label for c in definition.choices if c.key == value), "")
    if definition.shape is Shape.OPENINGS:
        return "; ".join(_say_opening(o, definition, system) for o in value) or "None"
    if definition.shape is Shape.INDICATIONS:
        return "; ".join(_say_indication(i, definition, system) for i in value) or "None"
    if definition.shape is Shape.NUMBERS:
        return "; ".join(_both(v, definition, system) for v in value) or "None"
    return _both(Decimal(value), definition, system) if definition.shape is Shape.NUMBER else str(value)


def _both(value: Decimal, definition: ResultField, system: str) -> str:
    return show_both(Interval.point(value), definition.dimension, system)


def _say_opening(opening: Opening, definition: ResultField, system: str) -> str:
    where = " at a corner" if opening.corner else ""
    cause = CAUSE_WORDS.get(opening.cause, "")
    return _both(opening.length, definition, system) + where + (f", {cause}" if cause else "")


def _say_indication(indication: Indication, definition: ResultField, system: str) -> str:
    at = f" at {_both(indication.at, definition, system)}" if indication.at is not None else ""
    return f"{_capital(INDICATION_WORDS[indication.type])} {_both(indication.length, definition, system)}{at}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]

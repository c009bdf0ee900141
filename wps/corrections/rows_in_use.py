"""Which rows of an edition's tables the shop's records rest on, found by the citations of their answers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from qualification.codes.editions_in_force import edition_in_force
from qualification.evidence.coverage import range_of, read_coupon, read_record
from qualification.evidence.kept import AnswerCache
from qualification.models import CouponRecord, ProcedureTest, State, WelderTest
from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Citation
from qualification.rules.editions.sheet_rows import place_cited
from qualification.rules.materials.catalogue import find_metal
from qualification.rules.materials.grouping import base_metals, explain_groups
from qualification.rules.tabular.edition import Edition
from qualification.welders.continuity import rules_of
from wps.models import Spec
from wps.procedures.approval import judgement_of

IN_USE = (State.APPROVED, State.IN_REVIEW, State.DRAFT)
METALS = ("base_metal_a", "base_metal_b")

_used: AnswerCache[Mapping[str, tuple[str, ...]]] = AnswerCache(12)


def rows_in_use(key: str) -> Mapping[str, tuple[str, ...]]:
    """Numbers of the records that rest on each row of the edition, by the row's place in the tables. Records
    that are superseded or withdrawn rest on nothing. What only has to be stated on a record decides no answer
    and is left out."""
    return _used.of(key, lambda: _worked_out(key))


def _worked_out(key: str) -> Mapping[str, tuple[str, ...]]:
    edition = edition_in_force(key)
    found: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for number, answers in _answers(edition):
        for citation in citations_in(answers):
            found[place_cited(citation.row)][number] = None
    return {place: tuple(numbers) for place, numbers in found.items()}


def _answers(edition: Edition) -> Iterator[tuple[str, Any]]:
    """Each record of the edition with all that the rules answer about it."""
    for model in (ProcedureTest, WelderTest):
        for record in _in_use(model, edition):
            yield record.number, _of_test(record, edition)
    for spec in _in_use(Spec, edition):
        judged = judgement_of(spec)
        yield spec.number, (judged.report, explain_groups(judged.weld, edition))


def _in_use(model: Any, edition: Edition) -> Any:
    return model.objects.filter(edition=edition.id, state__in=IN_USE).order_by("number", "revision")


def _of_test(record: CouponRecord, edition: Edition) -> Any:
    weld = read_record(record).weld
    follows = rules_of(record) if isinstance(record, WelderTest) else _minima(weld, edition)
    return read_coupon(record).outcome, range_of(record), explain_groups(weld, edition), follows


def _minima(weld: Weld, edition: Edition) -> Any:
    """The least strengths that a tension test of these metals has to reach."""
    named = {name for side in METALS if isinstance(chosen := weld.joint[side], frozenset) for name in chosen}
    keys = {metal.key for name in named if (metal := find_metal(name)) is not None}
    return [base_metals(edition).minima.get(key, ()) for key in sorted(keys)]


def citations_in(answer: Any) -> Iterator[Citation]:
    """Every citation of a code anywhere inside an answer of the rules."""
    seen: set[int] = set()
    waiting = [answer]
    while waiting:
        each = waiting.pop()
        if isinstance(each, Citation):
            if each.is_of_a_code and each.row:
                yield each
        elif is_dataclass(each) and not isinstance(each, type):
            if id(each) not in seen:
                seen.add(id(each))
                waiting += [getattr(each, field.name) for field in fields(each)]
        elif isinstance(each, Mapping):
            waiting += each.values()
        elif isinstance(each, (list, tuple, set, frozenset)):
            waiting += each

"""One coupon under every edition the shop uses: ranges side by side, what is wanting, and moving it to
another edition."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.codes.editions import editions_used
from qualification.evidence.coverage import SIDES, compare_under, edition_of, problems_under
from qualification.models import CouponRecord
from qualification.records import workflow
from qualification.records.same_coupon import start_same_coupon
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.core import words
from qualification.rules.core.facts import Side
from qualification.rules.editions.compare import UnderEdition, WantKind
from qualification.rules.editions.contrast import Contrast, Contrasted, EditionStatement, contrasted
from qualification.rules.required.check import missing
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.registry import registry
from qualification.snapshots.required_items import coupon_items
from qualification.views.coupon_pages import Pages, kind_of

KIND_WORDS = {
    WantKind.SPECIMEN: "Specimen or examination",
    WantKind.READING: "Value to state",
    WantKind.RESULT: "Result that does not serve",
    WantKind.RULE: "Not in the tables",
}
DIFFERING, ALIKE = (Contrast.DIFFERENT, Contrast.OTHER_TERMS), (Contrast.ELSEWHERE, Contrast.SAME)
LISTED = 6
"""Things wanting that are listed at once; more are folded behind their number."""
AT_FIRST = 2
"""Other editions set beside the record's own before any is asked for: more make a table nobody reads."""


@dataclass(frozen=True)
class Column:
    """One edition as the page shows it."""

    key: str
    name: str
    is_own: bool
    counts: bool
    answer: str
    wants: list[tuple[str, str]]
    set_aside: list[str]
    change_note: str
    unconfirmed: int
    """Limits of the range whose number nobody has confirmed."""

    @property
    def is_long(self) -> bool:
        return len(self.wants) > LISTED

    @property
    def summary(self) -> str:
        """What is wanting by its sorts, each with its number."""
        kinds = list(dict.fromkeys(kind for kind, _ in self.wants))
        return ", ".join(
            f"{words.within_sentence(kind)} ({sum(kind == other for other, _ in self.wants)})"
            for kind in kinds
        )


@reader_required
def other_editions(
    request: HttpRequest, pages: Pages, pk: int, refusal: tuple[str, list[str]] | None = None
) -> HttpResponse:
    """The record side by side under its own edition and every other the shop uses; nothing is saved."""
    record = get_object_or_404(pages.model, pk=pk)
    keys, left_out = _editions_for(record)
    comparison = compare_under(record, keys)
    columns = sorted(
        (_column(record, under) for under in comparison.under),
        key=lambda each: (not each.is_own, not each.counts, len(each.wants)),
    )
    shown = _shown(comparison.under, request.GET.getlist("beside"))
    rows = contrasted(compare_under(record, [edition.id for edition in shown]), record.units)
    context = {
        **pages.urls(record),
        "record": record,
        "kind": kind_of(record),
        "columns": columns,
        "left_out": left_out,
        "offered": [
            (u.edition.id, u.edition.name, u.edition in shown)
            for u in _ranged(comparison.under)
            if u.edition.id != record.edition
        ],
        "names": [edition.name for edition in shown],
        "tables": _tables(record, rows, {edition.id: edition.name for edition in shown}),
        "counted": [(words, number) for words, number in _counted(rows) if number],
        "may_author": may_author(request.user),
        "may_move": may_author(request.user) and record.pk == record.revisions()[0].pk,
        "refusal": refusal,
    }
    return render(request, "qualification/other_editions.html", context, status=409 if refusal else 200)


@author_required
@require_POST
def move(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Put a draft under another edition, or start a new revision under it."""
    record = get_object_or_404(pages.model, pk=pk)
    key, note = request.POST.get("edition", ""), request.POST.get("change_note", "")
    if key not in _editions_for(record)[0] or key == record.edition:
        return other_editions(request, pages, pk, ("", ["Choose one of the other editions listed."]))
    try:
        made = workflow.move_to_edition(record, request.user, key, note)
    except workflow.StepRefused as refused:
        return other_editions(request, pages, pk, (key, list(refused.reasons)))
    messages.success(request, f"{made} is a draft under {edition_of(key).name} now. {note}")
    return redirect(pages.url("results", made))  # type: ignore[arg-type]


@author_required
@require_POST
def also(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Start a record of its own for the same coupon under another edition."""
    record, key = get_object_or_404(pages.model, pk=pk), request.POST.get("edition", "")
    if key not in _editions_for(record)[0] or key == record.edition:
        return other_editions(request, pages, pk, ("", ["Choose one of the other editions listed."]))
    made = start_same_coupon(record, request.user, key)
    is_open = bool(missing(coupon_items(made), required_only=True))
    messages.success(
        request,
        f"{made} is started: the coupon of {record} under {edition_of(key).name}, with its readings and"
        " results." + (" Enter what this code wants besides." if is_open else ""),
    )
    return redirect(pages.url("edit" if is_open else "", made))


def _editions_for(record: CouponRecord) -> tuple[list[str], list[str]]:
    """The record's own edition first, then the others that judge such a record; and why others are left
    out."""
    keys, left_out = [], []
    for key in dict.fromkeys([record.edition, *(key for key, _ in editions_used())]):
        try:
            edition = edition_of(key)
        except TableError as error:
            left_out.append(f"{key}: {error}")
            continue
        if _side(edition, SIDES[type(record)]):
            keys.append(key)
        else:
            left_out.append(f"{edition.name} has no rules for a {record.KIND}.")
    return keys, left_out


def _side(edition: Edition, side: Side) -> bool:
    return bool(edition.procedure if side is Side.PROCEDURE else edition.welder)


def _column(record: CouponRecord, under: UnderEdition) -> Column:
    edition, problems = under.edition, problems_under(record, under.edition.id)
    counts = under.counts and not problems
    limits = [
        limit for line in under.range.lines for limit in line.limits if limit.standing.value != "nonessential"
    ]
    return Column(
        key=edition.id,
        name=edition.name,
        is_own=edition.id == record.edition,
        counts=counts,
        answer="Counts as it stands"
        if counts
        else f"Does not count: tests {under.outcome.overall.words.lower()}",
        wants=[
            *(("Entry that needs a look", message) for message in problems),
            *((KIND_WORDS[w.kind], w.sentence) for w in under.wants),
        ],
        set_aside=list(dict.fromkeys(result.kind.words for result in under.set_aside)),
        change_note=f"Judged under {edition.name}.",
        unconfirmed=sum(limit.citation.provenance.value == "memory" for limit in limits),
    )


def _ranged(under: Sequence[UnderEdition]) -> list[UnderEdition]:
    """Those that issue a range: beside them, “no limit” of one that issues none would read as freedom."""
    return [each for each in under if each.range.lines]


def _shown(under: Sequence[UnderEdition], asked: Sequence[str]) -> list[Edition]:
    """The record's own edition and those asked for; at first the one or two for which least is wanting."""
    ranged = _ranged(under)
    nearest = sorted(ranged[1:], key=lambda each: len(each.wants))[:AT_FIRST]
    wanted = set(asked) or {each.edition.id for each in nearest}
    return [each.edition for index, each in enumerate(ranged) if index == 0 or each.edition.id in wanted]


@dataclass(frozen=True)
class Subject:
    """One row as the page shows it."""

    label: str
    contrast: str
    cells: list[tuple[str, EditionStatement]]
    """Each with the name of its edition."""

    @property
    def limiting(self) -> list[tuple[str, EditionStatement]]:
        return [(name, said) for name, said in self.cells if said.here]

    @property
    def free(self) -> list[str]:
        """Editions that set no limit for a weld like the coupon."""
        return [name for name, said in self.cells if not said.here]

    @property
    def elsewhere(self) -> list[tuple[str, EditionStatement]]:
        return [(name, said) for name, said in self.cells if said.elsewhere]


@dataclass(frozen=True)
class Table:
    """One process line: what differs, what some editions limit only, and what agrees."""

    label: str
    differing: list[Subject]
    some: list[Subject]
    alike: list[Subject]


def _tables(record: CouponRecord, rows: Sequence[Contrasted], names: Mapping[str, str]) -> list[Table]:
    return [
        Table(
            _process(record, line),
            *(
                [_subject(each, names) for each in rows if each.row.line == line and each.contrast in kinds]
                for kinds in (DIFFERING, (Contrast.SOME,), ALIKE)
            ),
        )
        for line in sorted({each.row.line for each in rows})
    ]


def _subject(each: Contrasted, names: Mapping[str, str]) -> Subject:
    return Subject(each.row.label, each.contrast.words, [(names[said.edition], said) for said in each.said])


def _counted(rows: Sequence[Contrasted]) -> list[tuple[str, int]]:
    """How many subjects there are of each sort, in words that follow the number."""
    return [
        (words, sum(each.contrast in kinds for each in rows))
        for words, kinds in (
            ("differ", DIFFERING),
            ("are limited under some editions only", (Contrast.SOME,)),
            ("agree for a weld like the coupon", ALIKE),
        )
    ]


def _process(record: CouponRecord, line: int) -> str:
    process: Any = record.lines[line].get("process", "") if line < len(record.lines) else ""
    named = (
        registry()["process"].choice_label(process) if isinstance(process, str) and process else "not stated"
    )
    return f"Process {line + 1}: {words.within_sentence(named)}" if len(record.lines) > 1 else named

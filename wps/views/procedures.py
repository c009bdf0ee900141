"""Procedures: the list, one procedure to read, and what changed between two revisions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.codes.edition_told import edition_told
from qualification.codes.editions import is_iso
from qualification.evidence.coverage import Judgement
from qualification.evidence.figures import figures_of
from qualification.evidence.sides import both_sides_once
from qualification.forms.not_stated import contents_context
from qualification.forms.record_forms import RecordForms
from qualification.models import Record, State
from qualification.models.record import mark_unsigned
from qualification.records.advice_taken import advice_in
from qualification.records.differences import Difference, differences
from qualification.records.entry_sources import origins_of
from qualification.records.summaries import summary
from qualification.records.unchanged import changed_since_approval
from qualification.roles import author_required, may_approve, may_author, reader_required
from qualification.rules.core.facts import Weld
from qualification.rules.entries import answer_words
from qualification.rules.entries.reading import read_weld
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.definition import RecordKind
from qualification.tongues.told import told
from qualification.views.lists import Asked, Head
from qualification.views.steps import Refusal, begin_revision, steps_context, take_step
from wps.documents.attachments import add_address, attachments_of_record
from wps.documents.context import content_of
from wps.documents.kinds import document_for
from wps.documents.sketch import sketches_of
from wps.forms.procedure import HEADS
from wps.jobs.advice import Advice
from wps.jobs.next_coupon import procedure_coupons
from wps.models import CouponCosts, Spec
from wps.procedures.approval import judgement_of
from wps.procedures.checks import checks_of_procedure
from wps.procedures.in_brief import facts_of, settings_of
from wps.procedures.limits_since import limits_since
from wps.procedures.newer_tests import rest_on_newer_tests, superseded_tests
from wps.procedures.required_items import spec_items
from wps.procedures.snapshot import spec_content
from wps.views.code_decisions import open_questions

LIST_HEADS = (
    Head("Procedure", ("number", "-revision")),
    Head("Title", ("title",)),
    Head("Welds"),
    Head("State", ("state",)),
    Head("Customer", ("customer",)),
)
OPEN = (State.DRAFT, State.IN_REVIEW)


@dataclass(frozen=True)
class ListedRevision:
    """A revision in the list."""

    spec: Spec
    line: str


@reader_required
def procedure_list(request: HttpRequest) -> HttpResponse:
    """Revisions in force and those being written; all others by their state."""
    asked = Asked(request, "procedures", ("state",))
    page = asked.page_of(found_among(asked).defer("snapshot"))
    found = list(page)
    mark_unsigned(found)
    listed = [
        ListedRevision(spec, summary(spec.joint, spec.lines, spec.units, RecordKind.SPEC)) for spec in found
    ]
    context = {
        **asked.context(page, LIST_HEADS),
        "listed": listed,
        "list": "procedures",
        "sought": asked.text,
        "state": asked["state"],
        "states": State.choices,
        "may_author": may_author(request.user),
    }
    return render(request, "wps/procedure_list.html", context)


def found_among(asked: Asked) -> QuerySet[Spec]:
    """Revisions that the list shows, in its order."""
    specs = (
        Spec.objects.filter(state=asked["state"])
        if asked["state"] in State.values
        else Spec.objects.filter(state__in=[State.APPROVED, State.DRAFT, State.IN_REVIEW])
    )
    for word in asked.text.split():
        specs = specs.filter(
            Q(number__icontains=word) | Q(title__icontains=word) | Q(customer__icontains=word)
        )
    return asked.ordered(specs.order_by("number", "-revision"), LIST_HEADS)


@reader_required
def procedure(request: HttpRequest, pk: int) -> HttpResponse:
    """One revision: its entries, sketch, findings, tests, steps and history."""
    return _page(request, get_object_or_404(Spec, pk=pk))


def _page(request: HttpRequest, spec: Spec, refusal: Refusal | None = None) -> HttpResponse:
    judged = judgement_of(spec) if spec.snapshot is None or changed_since_approval(spec) else None
    content = content_of(spec) if judged is None else spec_content(spec, judged)
    tests = {test.reference: test for test in spec.tests.all()}
    context = {
        "spec": spec,
        "content": content,
        "sketches": sketches_of(
            content["joint"],
            content["units"],
            content["lines"],
            shown=content.get("shown", ""),
            iso=is_iso(content["edition"]),
        ),
        "findings": _findings(content, judged),
        "told_of_edition": edition_told(spec.edition),
        "documents": _documents(spec),
        "joint_groups": _groups(content, None),
        "lines": _lines(content),
        "tests": _tests(content, tests),
        "cells": _cells(spec),
        "may_edit": spec.is_editable and may_author(request.user),
        "may_author": may_author(request.user),
        "since": limits_since(spec) if spec.state in (State.APPROVED, State.IN_REVIEW) else [],
        "gaps": _gaps(spec, judged),
        "contents": _contents(request, spec),
        "superseded": superseded_tests(spec) if spec.state in (*OPEN, State.APPROVED) else [],
        "checks": content["checks"]
        if "checks" in content
        else [each.as_json() for each in checks_of_procedure(spec, judgement_of(spec).read, spec.units)],
        "open_questions": open_questions(judged, spec.units) if judged and spec.state in OPEN else [],
        "may_decide": may_approve(request.user),
        "origins": origins_of(spec),
        "taken": advice_in(spec),
        "figures": figures_of(
            judged.read.weld if judged else _weld(spec), spec.units, CouponCosts.current().as_money()
        ),
        "settings": settings_of(content),
        "facts": facts_of(content),
        "one_line": len(content["findings"]) == 1,
        "notes": _band_notes(spec, content),
        "earlier": spec.revisions().filter(revision__lt=spec.revision).first(),
        "step_url": reverse("procedure_step", args=[spec.pk]),
        "revise_url": reverse("procedure_revise", args=[spec.pk]),
        **steps_context(request, spec, refusal),
    }
    return render(request, "wps/procedure.html", context, status=409 if refusal else 200)


def _band_notes(spec: Spec, content: dict[str, Any]) -> list[str]:
    """What has to be known beside the verdict."""
    if not spec.snapshot:
        return []
    on = f" on {spec.approved_at:%Y-%m-%d}" if spec.approved_at else ""
    return [f"As approved{on}, judged on {content['code']['name']}."]


def _weld(spec: Spec) -> Weld:
    """The entries as facts, unjudged: what an approved procedure is judged by stands in its snapshot."""
    return read_weld(spec.joint, spec.lines, RecordKind.SPEC, spec.units, str(spec)).weld


def _contents(request: HttpRequest, spec: Spec) -> dict[str, Any] | None:
    """What the code wants stated and the procedure does not state; `None` where its tables are not
    installed."""
    try:
        items = spec_items(spec)
    except TableError:
        return None
    if not (spec.is_editable and may_author(request.user)):
        return contents_context(items)
    forms = RecordForms(RecordKind.SPEC, spec.units, spec.edition, spec.joint, spec.lines)
    return contents_context(items, forms, {"edit": reverse("procedure_edit", args=[spec.pk])})


def _cells(spec: Spec) -> list[tuple[str, str]]:
    approved = (
        f"{told(f'{spec.approved_at:%Y-%m-%d}')}, {spec.approved_by_name}"
        if spec.approved_at
        else "Not approved"
    )
    return [("Written", spec.author_name), ("Approved", approved)]


def _groups(content: dict[str, Any], line: int | None) -> list[dict[str, Any]]:
    return [
        g
        for g in content["entered"]
        if g["line"] == line and (g["rows"] or g["not_stated"] or g.get("set_aside"))
    ]


def _lines(content: dict[str, Any]) -> list[dict[str, Any]]:
    found = {finding["line"]: finding for finding in content["findings"]}
    return [
        {
            "number": index + 1,
            "fold": f"process-{index + 1}",
            "heading": f"Process {index + 1}: {entries.get('process') or 'not stated'}",
            "process": entries.get("process", ""),
            "groups": _groups(content, index),
            "finding": found.get(index),
        }
        for index, entries in enumerate(content["lines"])
    ]


def _findings(content: dict[str, Any], judged: Judgement | None) -> list[dict[str, Any]]:
    """The findings as printed, each named by its process, with one row for both sides where all but the
    side is alike; for a draft also why other tests do not carry it."""
    others: dict[int, list[str]] = {}
    if judged is not None:
        for line in judged.report.lines:
            others[line.line] = [
                answer_words.say_attempt(a) for a in line.attempts if a.record not in line.relied_on
            ]
    return [
        {
            **finding,
            "rows": both_sides_once(finding["rows"], _but_side),
            "process": content["lines"][finding["line"]].get("process", ""),
            "others": others.get(finding["line"], []),
        }
        for finding in content["findings"]
    ]


def _but_side(row: Mapping[str, Any]) -> str:
    return str({**row, "label": "", "variable": ""})


def _gaps(spec: Spec, judged: Judgement | None) -> list[Advice]:
    """Which coupon to weld for what is not carried yet; an approved revision lacks nothing."""
    if judged is None or spec.state not in OPEN:
        return []
    return procedure_coupons(judged, spec.units)


def _documents(spec: Spec) -> list[dict[str, str]]:
    """The PDF of this revision, and the page of its signatures once it is issued."""
    address = reverse("document", args=["procedure", spec.pk])
    found = [
        {"label": "Print as PDF", "url": address},
        {"label": "Sheet for the shop floor", "url": reverse("shop_sheet", args=[spec.pk])},
        {"label": "Save as data", "url": reverse("record_data", args=["procedure", spec.pk])},
        {"label": "Appendix: the reasoning", "url": f"{address}?appendix=1"},
    ]
    if (document := document_for(spec)) is not None:
        found.append({"label": "Document and signatures", "url": document.get_absolute_url()})
    found += [
        {"label": str(each), "url": reverse("attachment_file", args=[each.pk])}
        for each in attachments_of_record("procedure", spec.number)
    ]
    return [*found, {"label": "Add a document to it", "url": add_address("procedure", spec.number)}]


def _tests(content: dict[str, Any], tests: dict[str, Any]) -> list[dict[str, Any]]:
    """The supporting tests as printed, each with its page and its state today."""
    return [{**test, "record": tests.get(test["reference"])} for test in content["tests"]]


@reader_required
@require_POST
def procedure_step(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a workflow step; the workflow says who may."""
    spec = get_object_or_404(Spec, pk=pk)
    refusal = take_step(request, spec)
    return _page(request, spec, refusal) if refusal else redirect(spec)


@author_required
@require_POST
def procedure_newer_tests(request: HttpRequest, pk: int) -> HttpResponse:
    """Rest a draft on the later revisions of tests that were superseded."""
    spec = get_object_or_404(Spec, pk=pk, state=State.DRAFT)
    for each in rest_on_newer_tests(spec, request.user):
        messages.success(request, f"{spec} rests on {each.newer.reference} now.")
    return redirect(spec)


@reader_required
@require_POST
def procedure_revise(request: HttpRequest, pk: int) -> HttpResponse:
    """Start the next revision."""
    spec = get_object_or_404(Spec, pk=pk)
    made = begin_revision(request, spec)
    if isinstance(made, Refusal):
        return _page(request, spec, made)
    assert isinstance(made, Record)
    return redirect("procedure_edit", made.pk)


@reader_required
def procedure_compare(request: HttpRequest, pk: int, other: int) -> HttpResponse:
    """What changed from one revision (`other`) to a later one."""
    after, before = get_object_or_404(Spec, pk=pk), get_object_or_404(Spec, pk=other)
    if after.number != before.number:
        raise Http404
    found = differences(
        before.content(), after.content(), RecordKind.SPEC, {k: v for k, v in HEADS.items() if k != "number"}
    )
    tests = [
        ", ".join(sorted(test.reference for test in spec.tests.all())) or "None" for spec in (before, after)
    ]
    if tests[0] != tests[1]:
        found.append(Difference("", "Supporting tests", *tests))
    return render(
        request,
        "wps/procedure_compare.html",
        {"before": before, "after": after, "differences": found, "revisions": list(after.revisions())},
    )

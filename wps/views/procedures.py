"""Procedures: the list, one procedure to read, and what changed between two revisions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.coverage import Judgement
from qualification.differences import Difference, differences
from qualification.editions import later_edition
from qualification.forms.record_forms import RecordForms
from qualification.models import Record, State
from qualification.origins import origins_of
from qualification.roles import may_author, reader_required
from qualification.rules import wording
from qualification.rules.schema import TableError
from qualification.rules.variables import Use
from qualification.stated import contents_context
from qualification.summaries import summary
from qualification.views.steps import Refusal, begin_revision, steps_context, take_step
from wps.approval import judgement_of
from wps.content import spec_content
from wps.documents.context import content_of
from wps.documents.kinds import document_for
from wps.documents.sketch import sketch_of
from wps.forms.procedure import HEADS
from wps.limits_since import limits_since
from wps.models import Spec
from wps.next_coupon import procedure_coupons
from wps.stated import spec_items
from wps.welding_today import Gap


@dataclass(frozen=True)
class Listed:
    """A revision in the list."""

    spec: Spec
    line: str


@reader_required
def procedure_list(request: HttpRequest) -> HttpResponse:
    """Revisions in force and those being written; all others by their state."""
    sought, state = request.GET.get("q", "").strip(), request.GET.get("state", "")
    specs = (
        Spec.objects.filter(state=state)
        if state in State.values
        else Spec.objects.filter(state__in=[State.APPROVED, State.DRAFT, State.IN_REVIEW])
    )
    for word in sought.split():
        specs = specs.filter(
            Q(number__icontains=word) | Q(title__icontains=word) | Q(customer__icontains=word)
        )
    listed = [
        Listed(spec, summary(spec.joint, spec.lines, spec.units, Use.SPEC))
        for spec in specs.order_by("number", "-revision")
    ]
    return render(
        request,
        "wps/procedure_list.html",
        {
            "listed": listed,
            "sought": sought,
            "state": state,
            "states": State.choices,
            "may_author": may_author(request.user),
        },
    )


@reader_required
def procedure(request: HttpRequest, pk: int) -> HttpResponse:
    """One revision: its entries, sketch, findings, tests, steps and history."""
    return _page(request, get_object_or_404(Spec, pk=pk))


def _page(request: HttpRequest, spec: Spec, refusal: Refusal | None = None) -> HttpResponse:
    judged = judgement_of(spec) if spec.snapshot is None else None
    content = content_of(spec) if judged is None else spec_content(spec, judged)
    tests = {test.reference: test for test in spec.tests.all()}
    context = {
        "spec": spec,
        "content": content,
        "sketch": sketch_of(
            content["joint"], content["units"], content["lines"], shown=content.get("shown", "")
        ),
        "findings": _findings(content, judged),
        "later": later_edition(spec.edition),
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
        "origins": origins_of(spec),
        "earlier": spec.revisions().filter(revision__lt=spec.revision).first(),
        "step_url": reverse("procedure_step", args=[spec.pk]),
        "revise_url": reverse("procedure_revise", args=[spec.pk]),
        **steps_context(request, spec, refusal),
    }
    return render(request, "wps/procedure.html", context, status=409 if refusal else 200)


def _contents(request: HttpRequest, spec: Spec) -> dict[str, Any] | None:
    """What the code wants stated and the procedure does not state; `None` where its tables are not
    installed."""
    try:
        items = spec_items(spec)
    except TableError:
        return None
    if not (spec.is_editable and may_author(request.user)):
        return contents_context(items)
    forms = RecordForms(Use.SPEC, spec.units, spec.edition, spec.joint, spec.lines)
    return contents_context(items, forms, {"edit": reverse("procedure_edit", args=[spec.pk])})


def _cells(spec: Spec) -> list[tuple[str, str]]:
    approved = f"{spec.approved_at:%Y-%m-%d}, {spec.approved_by_name}" if spec.approved_at else "Not approved"
    return [("Written", spec.author_name), ("Approved", approved)]


def _groups(content: dict[str, Any], line: int | None) -> list[dict[str, Any]]:
    return [g for g in content["entered"] if g["line"] == line and (g["rows"] or g["not_stated"])]


def _lines(content: dict[str, Any]) -> list[dict[str, Any]]:
    found = {finding["line"]: finding for finding in content["findings"]}
    return [
        {
            "number": index + 1,
            "process": entries.get("process", ""),
            "groups": _groups(content, index),
            "finding": found.get(index),
        }
        for index, entries in enumerate(content["lines"])
    ]


def _findings(content: dict[str, Any], judged: Judgement | None) -> list[dict[str, Any]]:
    """The findings as printed, each named by its process; for a draft also why other tests do not carry
    it."""
    others: dict[int, list[str]] = {}
    if judged is not None:
        for line in judged.report.lines:
            others[line.line] = [
                wording.say_attempt(a) for a in line.attempts if a.record not in line.relied_on
            ]
    return [
        {
            **finding,
            "process": content["lines"][finding["line"]].get("process", ""),
            "others": others.get(finding["line"], []),
        }
        for finding in content["findings"]
    ]


def _gaps(spec: Spec, judged: Judgement | None) -> list[Gap]:
    """Which coupon to weld for what is not carried yet; an approved revision lacks nothing."""
    if judged is None or spec.state not in (State.DRAFT, State.IN_REVIEW):
        return []
    return procedure_coupons(judged, spec.units)


def _documents(spec: Spec) -> list[dict[str, str]]:
    """The PDF of this revision, and the page of its signatures once it is issued."""
    found = [{"label": "Print as PDF", "url": reverse("document", args=["procedure", spec.pk])}]
    if (document := document_for(spec)) is not None:
        found.append({"label": "Document and signatures", "url": document.get_absolute_url()})
    return found


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
        before.content(), after.content(), Use.SPEC, {k: v for k, v in HEADS.items() if k != "number"}
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

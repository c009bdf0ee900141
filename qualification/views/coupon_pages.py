"""The pages procedure tests and welder tests share: one record, its draft, its results, its steps.

Each kind hands over its `Pages`: model, forms, words and addresses. What differs stays in its own file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from qualification.content import test_content
from qualification.coverage import USES, outcome_of
from qualification.drafts import SavedMeanwhile, save_draft, version_of
from qualification.editions import later_edition
from qualification.forms.coupon import HeadForm
from qualification.forms.record_forms import RecordForms
from qualification.forms.results import ResultsForms
from qualification.links import links_of, test_actions
from qualification.models import CouponRecord, UnitSystem
from qualification.roles import may_author
from qualification.rules.outcome_words import outcome_content
from qualification.rules.schema import TableError
from qualification.rules.wording import within_sentence
from qualification.stated import contents_context, coupon_items
from qualification.views.steps import Refusal, begin_revision, steps_context, take_step

VERSION = "version"
"""Hidden input with the version of the draft a form was drawn with."""


@dataclass(frozen=True)
class Pages:
    """What one kind of test record brings along."""

    model: type[CouponRecord]
    form: type[HeadForm]
    kind: str
    """`procedure_test` or `welder_test`: first part of its URL names and of its own template."""
    list_url: str
    more: Callable[[HttpRequest, CouponRecord], dict[str, Any]] = lambda request, record: {}
    """Context only this kind's page needs."""

    def url(self, page: str, record: CouponRecord) -> str:
        return reverse(f"{self.kind}_{page}" if page else self.kind, args=[record.pk])

    def urls(self, record: CouponRecord) -> dict[str, str]:
        found = {
            f"{page}_url": self.url(page, record)
            for page in ("edit", "check", "results", "step", "revise", "editions", "move")
        }
        return found | {
            "like_url": f"{reverse(f'{self.kind}_add')}?like={record.pk}",
            "record_url": self.url("", record),
            "list_url": reverse(self.list_url),
        }


def record_page(
    request: HttpRequest, pages: Pages, record: CouponRecord, refusal: Refusal | None = None
) -> HttpResponse:
    """The record as it stands: title block, outcome, range or the reasons for none, entries, history."""
    live, missing_tables = _live_content(record)
    content = record.snapshot or live
    context = {
        **steps_context(request, record, refusal),
        **pages.urls(record),
        **pages.more(request, record),
        "content": content,
        "missing_tables": missing_tables,
        "cells": _cells(record, content),
        "ranges": range_groups(content),
        "joint_groups": [g for g in content["entered"] if g["line"] is None],
        "line_groups": _line_groups(content),
        "changed": changed_since(record.snapshot, live),
        "may_edit": record.is_editable and may_author(request.user),
        "may_author": may_author(request.user),
        "links": links_of(record),
        "actions": test_actions(record),
        "kind": record.KIND.capitalize(),
        "later": later_edition(record.edition),
        "contents": None if missing_tables else _contents(request, pages, record),
    }
    return render(request, f"qualification/{pages.kind}.html", context, status=409 if refusal else 200)


def _live_content(record: CouponRecord) -> tuple[dict[str, Any], str]:
    """The record judged now, in the unit order of what was approved; without its edition's tables, nothing
    but its own fields and a sentence that says so."""
    try:
        return (
            test_content(
                record, (record.snapshot or {}).get("shown", record.units if record.snapshot else "")
            ),
            "",
        )
    except TableError as error:
        return {**record.content(), "entered": [], "refusals": [], "range": [], "outcome": None}, str(error)


def _contents(request: HttpRequest, pages: Pages, record: CouponRecord) -> dict[str, Any]:
    """What the code wants stated and the record does not state, with the way to each field for those who may
    edit."""
    items = coupon_items(record)
    if not (record.is_editable and may_author(request.user)):
        return contents_context(items)
    forms = RecordForms(USES[pages.model], record.units, record.edition, record.joint, record.lines)
    return contents_context(items, forms, _entry_pages(pages, record))


def _entry_pages(pages: Pages, record: CouponRecord) -> dict[str, str]:
    welder = record.welder  # type: ignore[attr-defined]
    edit = reverse("welder_edit", args=[welder.pk]) if welder else ""
    return {"edit": pages.url("edit", record), "results": pages.url("results", record), "welder": edit}


def _cells(record: CouponRecord, content: dict[str, Any]) -> list[tuple[str, str]]:
    code = content.get("code")
    return [
        ("Code", code["name"] if code else record.edition),
        ("Units", record.get_units_display()),
        ("Welded on", f"{record.welded_on}" if record.welded_on else ""),
        ("Welder", str(record.welder or "")),  # type: ignore[attr-defined]
        ("Written by", record.author_name),
        *(
            [("Approved by", f"{record.approved_by_name}, {record.approved_at:%Y-%m-%d}")]
            if record.approved_at
            else []
        ),
    ]


def _line_groups(content: dict[str, Any]) -> list[dict[str, Any]]:
    """What is stated of each process line."""
    lines = dict.fromkeys(g["line"] for g in content["entered"] if g["line"] is not None)
    return [
        {
            "number": line + 1,
            "process": next(g["process"] for g in content["entered"] if g["line"] == line),
            "groups": [g for g in content["entered"] if g["line"] == line],
        }
        for line in lines
    ]


def range_groups(content: dict[str, Any]) -> list[tuple[str, list[dict[str, Any]]]]:
    """The range's rows by process line, what binds always before what binds only where toughness is
    required."""
    processes = {group["line"]: group["process"] for group in content["entered"] if group["line"] is not None}
    several = len(processes) > 1
    groups: dict[tuple[int, bool], list[dict[str, Any]]] = {}
    for row in content["range"]:
        groups.setdefault((row["line"] or 0, row["standing"] == "supplementary"), []).append(row)
    found = []
    for (line, supplementary), rows in sorted(groups.items(), key=lambda item: item[0]):
        name = f"Process {line + 1}, {processes.get(line, '')}" if several else processes.get(line, "")
        found.append(
            (
                (
                    f"{name}: further limits where toughness is required"
                    if supplementary
                    else f"{name}: range of qualification"
                ),
                rows,
            )
        )
    return found


def changed_since(snapshot: dict[str, Any] | None, live: dict[str, Any]) -> list[str]:
    """Labels of variables whose range differs from what was approved, since the code tables were changed."""
    if (
        snapshot is None
        or live.get("code") is None
        or snapshot["code"]["fingerprint"] == live["code"]["fingerprint"]
    ):
        return []
    then, now = (
        {(r["line"], r["variable"], r["qualified"], r["when"]): r["label"] for r in c["range"]}
        for c in (snapshot, live)
    )
    labels = [
        now[key] if key in now else then[key] for key in {**then, **now} if (key in then) != (key in now)
    ]
    if bool(snapshot["refusals"]) != bool(live["refusals"]):
        labels.insert(0, "Whether it qualifies anything")
    return list(dict.fromkeys(labels))


def step(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Take a workflow step; a refused one shows the record again with the reasons."""
    record = get_object_or_404(pages.model, pk=pk)
    refusal = take_step(request, record)
    if refusal:
        record.refresh_from_db()
        return record_page(request, pages, record, refusal)
    return redirect(pages.url("", record))


def revise(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Start a new revision as a draft."""
    record = get_object_or_404(pages.model, pk=pk)
    made = begin_revision(request, record)
    if isinstance(made, Refusal):
        return record_page(request, pages, record, made)
    return redirect(pages.url("edit", made))  # type: ignore[arg-type]


def edit(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Edit a draft's head and what was welded. Unreadable entries are kept and pointed at; the head has to be
    right."""
    record = get_object_or_404(pages.model, pk=pk)
    if not record.is_editable:
        return not_a_draft(request, pages, record)
    draft = _Draft(pages, record, request.POST if request.method == "POST" else None)
    if draft.wants_saving and draft.head.is_valid():
        changed = _changed(record, draft.head, draft.forms)
        draft.take_on()
        try:
            save_draft(record, request.user, draft.version, changed)
        except SavedMeanwhile as meanwhile:
            return _edit_page(request, pages, draft, meanwhile)
        messages.success(request, f"{record} is saved.")
        return redirect(pages.url("results" if request.POST.get("do") == "results" else "edit", record))
    return _edit_page(request, pages, draft)


def check(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """What is typed so far, read, and the tests such a coupon has to pass; a fragment, nothing is stored."""
    draft = _Draft(pages, get_object_or_404(pages.model, pk=pk), request.POST)
    context = {"forms": draft.forms, "required": draft.required(), "contents": draft.contents(), "live": True}
    return render(request, "qualification/_coupon_check.html", context)


class _Draft:
    """A draft on the desk: its head and entries, as stored or as typed."""

    def __init__(self, pages: Pages, record: CouponRecord, data: QueryDict | None) -> None:
        self.pages, self.record = pages, record
        self.stored = {"joint": record.joint, "lines": record.lines}
        self.version = data.get(VERSION, "") if data is not None else version_of(record)
        units = data.get("units", "") if data is not None else record.units
        self.units = units if units in UnitSystem.values else record.units
        self.head = pages.form(data, instance=record)
        self.forms = RecordForms(
            USES[pages.model], self.units, record.edition, record.joint, record.lines, data
        )
        self.wants_saving = data is not None and not self.forms.arranged

    def take_on(self) -> None:
        """Put the entries as typed on the record in hand."""
        self.record.units = self.units
        self.record.joint, self.record.lines = self.forms.joint_entries, self.forms.line_entries

    def required(self) -> dict[str, Any]:
        """The tests the coupon has to pass as it is typed."""
        self.take_on()
        return outcome_content(outcome_of(self.record), self.units)

    def contents(self) -> dict[str, Any]:
        """What the code wants stated and the page does not state yet."""
        if self.head.is_bound:
            self.head.is_valid()  # puts what the head says on the record in hand
        self.take_on()
        return contents_context(
            coupon_items(self.record), self.forms, {**_entry_pages(self.pages, self.record), "edit": ""}
        )


def _changed(record: CouponRecord, head: HeadForm, forms: RecordForms) -> list[str]:
    """What a save changes, in words, for the history."""
    labels = [within_sentence(head.fields[name].label) for name in head.changed_data]
    joint = {*record.joint, *forms.joint_entries}
    labels += [
        within_sentence(forms.joint_form.fields[key].label)
        for key in joint
        if record.joint.get(key) != forms.joint_entries.get(key) and key in forms.joint_form.fields
    ]
    return labels + (["process lines"] if record.lines != forms.line_entries else [])


def _edit_page(
    request: HttpRequest, pages: Pages, draft: _Draft, meanwhile: SavedMeanwhile | None = None
) -> HttpResponse:
    shown = pages.model.objects.get(
        pk=draft.record.pk
    )  # the heading stays as stored while something else is typed
    context = {
        **pages.urls(shown),
        "record": shown,
        "kind": shown.KIND.capitalize(),
        "head": draft.head,
        "forms": draft.forms,
        "version": draft.version,
        "required": draft.required(),
        "contents": draft.contents(),
        "meanwhile": meanwhile,
        "is_tried": request.method == "POST",
    }
    return render(
        request,
        "qualification/coupon_edit.html",
        context,
        status=409 if meanwhile else 422 if draft.head.errors else 200,
    )


def results(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Enter test results of a draft. Each press of a button judges what is typed; only saving stores it."""
    record = get_object_or_404(pages.model, pk=pk)
    if not record.is_editable:
        return not_a_draft(request, pages, record)
    data = request.POST if request.method == "POST" else None
    forms = ResultsForms(record, data)
    context: dict[str, Any] = {
        "forms": forms,
        "version": data.get(VERSION, "") if data else version_of(record),
    }
    if request.headers.get("HX-Request") == "true":
        return render(request, "qualification/_results_live.html", context)
    if data is not None and not forms.arranged:
        try:
            save_draft(record, request.user, context["version"], ["test results"])
        except SavedMeanwhile as meanwhile:
            return _results_page(request, pages, record, {**context, "meanwhile": meanwhile}, 409)
        return _saved_results(request, pages, record, forms)
    return _results_page(request, pages, record, context)


def _saved_results(
    request: HttpRequest, pages: Pages, record: CouponRecord, forms: ResultsForms
) -> HttpResponse:
    """Back to the record, or to the form while an entry needs a look: it is saved, and not done."""
    messages.success(request, f"The results of {record} are saved.")
    return redirect(pages.url("results" if forms.problem_links else "", record))


def _results_page(
    request: HttpRequest, pages: Pages, record: CouponRecord, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    found = {**pages.urls(record), **context, "record": record, "kind": record.KIND.capitalize()}
    return render(request, "qualification/results.html", found, status=status)


def not_a_draft(request: HttpRequest, pages: Pages, record: CouponRecord) -> HttpResponse:
    """A revision that is no draft is shown, with a word on how to change it."""
    messages.info(
        request,
        f"{record} is {record.get_state_display().lower()} and cannot be edited. Start a new revision to"
        " change it.",
    )
    return redirect(pages.url("", record))

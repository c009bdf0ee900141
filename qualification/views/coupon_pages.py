"""The pages procedure tests and welder tests share: one record, its draft, its results, its steps.

Each kind hands over its `Pages`: model, forms, words and addresses. What differs stays in its own file.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.codes.edition_told import edition_told
from qualification.codes.editions import is_iso
from qualification.evidence.coverage import USES
from qualification.evidence.figures import figures_of_test
from qualification.evidence.range_gaps import range_gaps
from qualification.evidence.range_parts import Parts, range_parts
from qualification.forms.not_stated import contents_context
from qualification.forms.range_gaps import GapRow, gap_rows
from qualification.forms.record_forms import RecordForms
from qualification.forms.results import ResultsForms
from qualification.links import kept_of, links_of, test_actions
from qualification.models import CouponRecord, ProcedureTest, State
from qualification.posted import posted
from qualification.records.drafts import SavedMeanwhile, save_draft, version_of
from qualification.records.unchanged import changed_since_approval
from qualification.roles import author_required, may_author, reader_required
from qualification.rules.tabular.schema import TableError
from qualification.snapshots.required_items import coupon_items
from qualification.snapshots.snapshot import test_content
from qualification.tongues.told import told
from qualification.views.coupon_desk import CouponDesk, entry_pages
from qualification.views.coupon_desk import Pages as Pages
from qualification.views.desk import live_check, not_a_draft, write
from qualification.views.steps import Refusal, begin_revision, steps_context, take_step

LIVE_STATES = (State.DRAFT, State.IN_REVIEW, State.APPROVED)
"""States in which what a record leaves out can still be stated, on it or on its next revision."""


@reader_required
def record(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """One test."""
    return record_page(request, pages, get_object_or_404(pages.model, pk=pk))


def record_page(
    request: HttpRequest, pages: Pages, record: CouponRecord, refusal: Refusal | None = None
) -> HttpResponse:
    """The record as it stands: title block, outcome, range or the reasons for none, entries, history."""
    live, missing_tables = _live_content(record)
    frozen = None if changed_since_approval(record) else record.snapshot
    content = frozen or live
    ranges, links = range_parts(content), links_of(record)
    papers = [link for each in links if each.are_papers for link in each.links]
    context = {
        **steps_context(request, record, refusal),
        **pages.urls(record),
        **pages.more(request, record),
        "content": content,
        "missing_tables": missing_tables,
        "cells": _cells(record, content),
        "ranges": ranges,
        "ranges_named": len(ranges) == 1,
        **_band(record, content, ranges),
        **kept_of(record),
        "joint_groups": [g for g in content["entered"] if g["line"] is None],
        "line_groups": _line_groups(content),
        "changed": changed_since(frozen, live),
        "may_edit": record.is_editable and may_author(request.user),
        "may_author": may_author(request.user),
        "links": [each for each in links if not each.are_papers],
        "papers": papers,
        "paper": next(iter(papers), None),
        "actions": test_actions(record),
        "kind": kind_of(record),
        "told_of_edition": edition_told(record.edition),
        "checks": content.get("checks", live.get("checks", [])),
        "contents": None if missing_tables else _contents(request, pages, record),
        "gaps": [] if missing_tables else _gaps(request, pages, record),
        "figures": None if missing_tables else figures_of_test(record),
    }
    return render(request, f"qualification/{pages.kind}.html", context, status=409 if refusal else 200)


def _band(record: CouponRecord, content: dict[str, Any], ranges: list[Parts]) -> dict[str, Any]:
    """Verdict and reason below the title block: how the tests came out, and what the record is good for."""
    outcome = content["outcome"]
    if outcome is None:
        return {"verdict": "unknown", "words": "Not judged", "notes": []}
    notes = []
    if not content["refusals"] and ranges:
        if record.state in (State.DRAFT, State.IN_REVIEW):
            notes.append("What this record will qualify once it is approved.")
        elif record.state != State.APPROVED:
            notes.append(f"What this revision qualified; it is {record.get_state_display().lower()} now.")
    elif content["refusals"]:
        notes.append("This record qualifies nothing.")
    unverified = sum(row["provenance"] == "memory" for part in ranges for row in (*part.shown, *part.details))
    if unverified:
        notes.append(
            f"{unverified} limit{'s are' if unverified > 1 else ' is'} unverified; check in the shop's copy"
            " of the code before work relies on it."
        )
    return {"verdict": outcome["verdict"], "words": outcome["overall_words"], "notes": notes}


def kind_of(record: CouponRecord) -> str:
    """The kind of record in words, a procedure test with the name its code gives the record."""
    kind = record.KIND.capitalize()
    return (
        f"{kind} ({'WPQR' if is_iso(record.edition) else 'PQR'})"
        if isinstance(record, ProcedureTest)
        else kind
    )


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
    return contents_context(items, forms, entry_pages(pages, record))


def _gaps(request: HttpRequest, pages: Pages, record: CouponRecord) -> list[GapRow]:
    """What the record leaves out that decides its range."""
    if record.state not in LIVE_STATES:
        return []
    gaps = range_gaps(record)
    if not gaps or not (record.is_editable and may_author(request.user)):
        return gap_rows(gaps)
    forms = RecordForms(USES[pages.model], record.units, record.edition, record.joint, record.lines)
    return gap_rows(gaps, forms, pages.url("edit", record))


def _cells(record: CouponRecord, content: dict[str, Any]) -> list[tuple[str, str]]:
    code = content.get("code")
    return [
        ("Code", code["name"] if code else record.edition),
        ("Welded on", f"{record.welded_on}" if record.welded_on else ""),
        ("Welder", str(record.welder or "")),
        *(
            [("Approved by", f"{record.approved_by_name}, {told(f'{record.approved_at:%Y-%m-%d}')}")]
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
            "fold": f"process-{line + 1}",
            "heading": f"Process {line + 1}: {_process(content, line) or 'not stated'}",
            "groups": [g for g in content["entered"] if g["line"] == line],
        }
        for line in lines
    ]


def _process(content: dict[str, Any], line: int) -> str:
    return next(str(g["process"]) for g in content["entered"] if g["line"] == line)


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


@reader_required
@require_POST
def step(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Take a workflow step; a refused one shows the record again with the reasons."""
    record = get_object_or_404(pages.model, pk=pk)
    refusal = take_step(request, record)
    if refusal:
        record.refresh_from_db()
        return record_page(request, pages, record, refusal)
    return redirect(pages.url("", record))


@author_required
@require_POST
def revise(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Start a new revision as a draft."""
    record = get_object_or_404(pages.model, pk=pk)
    made = begin_revision(request, record)
    if isinstance(made, Refusal):
        return record_page(request, pages, record, made)
    return redirect(pages.url("edit", made))  # type: ignore[arg-type]


@author_required
def edit(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Edit a draft's head and what was welded. Unreadable entries are kept and pointed at; the head has to be
    right."""
    record = get_object_or_404(pages.model, pk=pk)
    if not record.is_editable:
        return not_a_draft(request, record)
    draft = CouponDesk(pages, record, posted(request))
    return write(request, draft, "qualification/coupon_edit.html", lambda: _about(pages, draft.shown))


@author_required
@require_POST
def check(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """What is typed so far, read, and the tests such a coupon has to pass."""
    return live_check(request, CouponDesk(pages, get_object_or_404(pages.model, pk=pk), request.POST))


@author_required
def results(request: HttpRequest, pages: Pages, pk: int) -> HttpResponse:
    """Enter test results of a draft. Each press of a button judges what is typed; only saving stores it."""
    record = get_object_or_404(pages.model, pk=pk)
    if not record.is_editable:
        return not_a_draft(request, record)
    data = posted(request)
    forms = ResultsForms(record, data)
    context: dict[str, Any] = {
        "forms": forms,
        "version": version_of(record) if data is None else data.get("version", ""),
    }
    if request.headers.get("HX-Request") == "true":
        return render(request, "qualification/_results_live.html", context)
    if data is not None and not forms.arranged:
        try:
            save_draft(record, request.user, context["version"], ["test results"])
        except SavedMeanwhile as conflict:
            context |= {"conflict": conflict, "version": version_of(conflict.stored)}
            return _results_page(request, pages, record, context, 409)
        return _saved_results(request, pages, record, forms)
    return _results_page(request, pages, record, context)


def _saved_results(
    request: HttpRequest, pages: Pages, record: CouponRecord, forms: ResultsForms
) -> HttpResponse:
    """Back to the record, or to the form while an entry needs a look: it is saved, and not done."""
    messages.success(request, f"The results of {record} are saved.")
    after = "edit" if request.POST.get("do") == "welded" else ""
    return redirect(pages.url("results" if forms.problem_links and not after else after, record))


def _results_page(
    request: HttpRequest, pages: Pages, record: CouponRecord, context: dict[str, Any], status: int = 200
) -> HttpResponse:
    more = {"check_url": pages.url("results", record), "unsaved": request.method == "POST"}
    found = {**_about(pages, record), **more, **context}
    return render(request, "qualification/results.html", found, status=status)


def _about(pages: Pages, record: CouponRecord) -> dict[str, Any]:
    """What every page that edits the record shows of it."""
    return {**pages.urls(record), "record": record, "kind": kind_of(record), **kept_of(record)}

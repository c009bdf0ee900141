"""Editions of the shop's own: listed, begun, and each with its state, its cases and what rests on it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.codes.own_cases import judged, read_cases, wanting
from qualification.codes.own_compare import changes_since, parent_moved
from qualification.codes.own_editions import (
    ChangedMeanwhile,
    NotPublished,
    begin,
    discard,
    parent_seen,
    publish,
    withdraw,
)
from qualification.codes.own_tables import build, parsed_all
from qualification.forms.own_edition import NewEditionForm, heading_of
from qualification.forms.own_row import in_words
from qualification.forms.welder import ReasonForm
from qualification.links import Links, resting_on
from qualification.models import OwnEdition
from qualification.posted import posted
from qualification.records.history import history_about
from qualification.roles import APPROVER, approver_required, may_approve, reader_required, who_holds
from qualification.rules.editions.edition_facts import kind_of
from qualification.rules.tabular.overlay import rows_of
from qualification.rules.tabular.schema import TableError

FOLDER = "qualification/own_editions"


@reader_required
def own_edition_list(request: HttpRequest) -> HttpResponse:
    """Every edition the shop wrote or received."""
    context = {"editions": OwnEdition.objects.all(), "may_change": may_approve(request.user)}
    context["who"] = who_holds(APPROVER)
    return render(request, f"{FOLDER}/list.html", context)


@approver_required
def own_edition_new(request: HttpRequest) -> HttpResponse:
    """Begin an edition from another, or an empty one."""
    form = NewEditionForm(posted(request), initial={"parent": request.GET.get("from", "")})
    if request.method == "POST" and form.is_valid():
        try:
            own = begin(form.cleaned_data["parent"], form.head, form.cleaned_data["book"], request.user)
        except TableError as error:
            form.add_error(None, in_words(error))
        else:
            messages.success(request, "The edition is a draft. Nothing uses it until it is published.")
            return redirect(own)
    return render(request, f"{FOLDER}/new.html", {"form": form}, status=422 if form.errors else 200)


def own_or_404(pk: int) -> OwnEdition:
    """The edition of that number."""
    return get_object_or_404(OwnEdition, pk=pk)


def draft_or_404(pk: int) -> OwnEdition:
    """The same while it may be changed."""
    return get_object_or_404(OwnEdition, pk=pk, state=OwnEdition.State.DRAFT)


@reader_required
def own_edition(request: HttpRequest, pk: int) -> HttpResponse:
    """One edition: what it rests on, its tables and cases, and what rests on it."""
    return _page(request, own_or_404(pk))


def _page(request: HttpRequest, own: OwnEdition, status: int = 200, **more: Any) -> HttpResponse:
    context: dict[str, Any] = {
        "own": own,
        "may_change": may_approve(request.user) and own.is_draft,
        "may_approve": may_approve(request.user),
        "who": who_holds(APPROVER),
        "events": history_about(OwnEdition.KIND, own.pk),
        "resting": [] if own.is_draft else resting(own),
    }
    try:
        files = parsed_all(own.files)
        made = build(own.key, files)
        cases = read_cases(own.cases)
    except TableError as error:
        return render(request, f"{FOLDER}/page.html", {**context, "error": str(error)}, status=409)
    context |= {
        "edition": made,
        "rests_on": kind_of(made).words,
        "tables": _tables(files),
        "cases": judged(made, cases),
        "wanting": wanting(made, cases),
        "changes": changes_since(own, files, made),
        "moved": parent_moved(own),
    }
    return render(request, f"{FOLDER}/page.html", {**context, **more}, status=status)


def _tables(files: dict[str, Any]) -> list[tuple[str, str, int]]:
    """Stem, heading and number of rows of each table."""
    return [
        (name.removesuffix(".toml"), heading_of(name), sum(1 for _ in rows_of({name: body})))
        for name, body in files.items()
    ]


def resting(own: OwnEdition) -> list[Links]:
    """Records written under the edition, by sort."""
    return [each for each in resting_on(own.key) if each.links]


@approver_required
def own_edition_publish(request: HttpRequest, pk: int) -> HttpResponse:
    """Run cases and laws, and publish; a refusal shows what stands in the way."""
    own = draft_or_404(pk)
    if request.method != "POST":
        return redirect(own)
    try:
        publish(own, request.user)
    except NotPublished as refused:
        return _page(request, own, 422, reasons=refused.reasons, broken=refused.broken)
    except ChangedMeanwhile as clash:
        return _page(request, own, 409, reasons=[f"{clash} Look at it again, then publish."])
    messages.success(request, f"{own.name} is published. Records and jobs can be written under it.")
    return redirect(own)


@approver_required
def own_edition_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw with a reason; shows first which records rest on it."""
    own = get_object_or_404(OwnEdition, pk=pk, state=OwnEdition.State.PUBLISHED)
    form = ReasonForm(posted(request))
    if request.method == "POST" and form.is_valid():
        withdraw(own, form.cleaned_data["reason"], request.user)
        messages.success(
            request, f"{own.name} is withdrawn. It is no longer offered; what rests on it keeps it."
        )
        return redirect(own)
    context = {"own": own, "form": form, "resting": resting(own)}
    return render(request, f"{FOLDER}/withdraw.html", context, status=422 if form.errors else 200)


@approver_required
def own_edition_discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a draft away, after a second look."""
    own = draft_or_404(pk)
    if request.method == "POST":
        discard(own, request.user)
        messages.success(request, "The draft is discarded.")
        return redirect("own_edition_list")
    return render(request, f"{FOLDER}/discard.html", {"own": own})


@reader_required
def own_edition_compare(request: HttpRequest, pk: int) -> HttpResponse:
    """The edition beside its parent, row by row."""
    own = own_or_404(pk)
    try:
        files = parsed_all(own.files)
        made = build(own.key, files)
    except TableError as error:
        raise Http404 from error
    context = {
        "own": own,
        "changes": changes_since(own, files, made),
        "moved": parent_moved(own),
        "may_approve": may_approve(request.user),
        "who": who_holds(APPROVER),
    }
    return render(request, f"{FOLDER}/compare.html", context)


@approver_required
@require_POST
def own_edition_parent_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody has looked at what its parent changed, and the edition keeps its own rows."""
    own = own_or_404(pk)
    try:
        parent_seen(own, request.user)
    except TableError as error:
        raise Http404 from error
    messages.success(request, f"{own.name} keeps its rows. Later changes of {own.parent_name} are told.")
    return redirect(own)

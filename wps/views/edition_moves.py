"""All records of an edition moved to another: what changes, shown before; one act; and its report."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from qualification.codes.editions import as_choices, available_editions, edition_name
from qualification.forms.fields import text_field
from qualification.models import AuditEntry
from qualification.posted import posted
from qualification.roles import AUTHOR, author_required, may_author, reader_required, who_holds
from qualification.rules.tabular.schema import TableError
from wps.corrections.moving import VERB, NotMoved, move, preview

LONGEST = 300


class MoveForm(forms.Form):
    """Why the records move."""

    note = text_field(
        "What it changes",
        LONGEST,
        "Say in one sentence why the records move; each revision carries it.",
        "It stands on each new revision, such as: The contract names the edition of 2025.",
    )


@reader_required
def edition_move(request: HttpRequest, edition: str) -> HttpResponse:
    """What moving every record of the edition to `?to=` changes; nothing is saved. Posted, it is done."""
    choices = [each for each in as_choices(available_editions()) if each[0] != edition]
    asked = request.POST if request.method == "POST" else request.GET
    target = asked.get("to", "")
    target = target if target in dict(choices) else ""
    context = {
        "edition": edition,
        "name": edition_name(edition),
        "choices": choices,
        "to": target,
        "to_name": edition_name(target) if target else "",
        "may_move": may_author(request.user),
        "who": who_holds(AUTHOR),
    }
    if not target:
        return render(request, "wps/edition_move.html", context)
    if request.method == "POST":
        return _moved(request, edition, target, context)
    return _shown(request, context, MoveForm(initial={"note": f"Judged under {context['to_name']}."}))


def _shown(
    request: HttpRequest, context: dict[str, object], form: MoveForm, status: int = 200, refusal: str = ""
) -> HttpResponse:
    try:
        shown = preview(str(context["edition"]), str(context["to"]))
    except TableError as error:
        return render(request, "wps/edition_move.html", {**context, "problem": str(error)}, status=409)
    chosen = set(request.POST.getlist("record")) if refusal else {each.key for each in shown.moves}
    more = {"shown": shown, "chosen": chosen, "form": form, "refusal": refusal}
    return render(request, "wps/edition_move.html", {**context, **more}, status=status)


@author_required
def _moved(request: HttpRequest, edition: str, target: str, context: dict[str, object]) -> HttpResponse:
    form = MoveForm(posted(request))
    if not form.is_valid():
        return _shown(request, context, form, 422, str(next(iter(form.errors.values()))[0]))
    try:
        entry = move(
            edition,
            target,
            request.POST.getlist("record"),
            request.POST.get("token", ""),
            form.cleaned_data["note"],
            request.user,
        )
    except NotMoved as refused:
        return _shown(request, context, form, 409, str(refused))
    messages.success(request, f"{len(entry.data['records'])} records are under {context['to_name']} now.")
    return redirect("edition_move_report", entry.pk)


@reader_required
def edition_move_report(request: HttpRequest, pk: int) -> HttpResponse:
    """What one move did, record by record, as the trail has it."""
    entry = get_object_or_404(AuditEntry, pk=pk)
    if entry.verb != VERB:
        raise Http404
    data = entry.data
    context = {
        "entry": entry,
        "data": data,
        "before_name": edition_name(data["edition_from"]),
        "name": edition_name(data["edition"]),
    }
    return render(request, "wps/edition_move_report.html", context)

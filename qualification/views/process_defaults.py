"""What the shop states by default of each process: listed, and edited with the fields of a procedure."""

from __future__ import annotations

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.datastructures import MultiValueDict

from qualification.codes.editions import available_editions
from qualification.forms.entries import EntriesForm
from qualification.forms.meanwhile import Opened
from qualification.forms.record_forms import RecordForms
from qualification.forms.usual_entries import DEFAULTS, HELD, of_level, said_usual, stated_defaults
from qualification.models import Shop
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.roles import approver_required, may_approve, reader_required
from qualification.rules.variables.definition import PROCESSES, Level, RecordKind
from qualification.rules.variables.registry import registry

KIND = "shop"
FIELDS = DEFAULTS | HELD


@reader_required
def process_defaults(request: HttpRequest) -> HttpResponse:
    """Each process with what the shop states of it by default."""
    units = Shop.current().units_first
    rows = [
        (process, registry()["process"].choice_label(process), said_usual(stated_defaults(process, units)))
        for process in PROCESSES
    ]
    context = {"rows": rows, "may_change": may_approve(request.user)}
    return render(request, "qualification/process_defaults.html", context)


@approver_required
def process_default_edit(request: HttpRequest, process: str) -> HttpResponse:
    """The defaults of one process, in the units that stand first in this shop."""
    if process not in PROCESSES:
        raise Http404
    shop = Shop.current()
    forms = _forms(shop, process, posted(request))
    opened = Opened(request, KIND, shop, lambda _: stated_defaults(process, shop.units_first))
    if request.method == "POST" and forms.is_valid and _save(request, process, forms, opened):
        messages.success(request, f"The defaults of {process} are saved.")
        return redirect("process_defaults")
    context = {"forms": forms, "process": process, "opened": opened}
    status = 409 if opened.meanwhile else 422 if request.method == "POST" else 200
    return render(request, "qualification/process_default.html", context, status=status)


def _forms(shop: Shop, process: str, data: MultiValueDict[str, str] | None = None) -> RecordForms:
    stored = stated_defaults(process, shop.units_first)
    line = {"process": process, **of_level(stored, Level.LINE)}
    edition = shop.code_edition or available_editions()[0][0]
    joint = of_level(stored, Level.JOINT)
    return RecordForms(RecordKind.SPEC, shop.units_first, edition, joint, [line], data, only=FIELDS)


def _as_stored(shop: Shop, process: str) -> EntriesForm:
    form = _forms(shop, process).lines[0].form
    form.initial = stated_defaults(process, shop.units_first)
    return form


def _save(request: HttpRequest, process: str, forms: RecordForms, opened: Opened) -> bool:
    """False where somebody saved them since the page was opened."""
    entries = {**forms.joint_entries, **forms.line_entries[0]}
    entries = {key: entry for key, entry in entries.items() if key in FIELDS}
    with transaction.atomic():
        shop, _ = Shop.objects.select_for_update().get_or_create(pk=Shop.ONLY_ID)
        of_units = shop.process_defaults.setdefault(shop.units_first, {})
        before = of_units.get(process, {})
        if opened.clashes(before, forms.lines[0].form, lambda stored: _as_stored(stored, process)):
            return False
        if entries != before:
            of_units[process] = entries
            shop.save(update_fields=["process_defaults"])
            said = "; ".join(f"{label}: {words}" for label, words in said_usual(entries)) or "none"
            data = {"detail": f"defaults of {process}: {said}"[:400]}
            append("change", KIND, shop.pk, shop.name[:120], name_of(request.user), data)
    return True

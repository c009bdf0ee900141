"""Cases of a draft edition: added, changed, removed."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from qualification.codes.own_cases import MOST, SIDES, as_cases, judged, read_cases
from qualification.codes.own_editions import ChangedMeanwhile, NotPublished, save_cases
from qualification.codes.own_tables import build, files_of
from qualification.forms.own_case import CaseForm
from qualification.models import OwnEdition
from qualification.posted import posted
from qualification.roles import approver_required
from qualification.views.own_editions import draft_or_404
from qualification.views.own_editions_saving import Saving


@approver_required
def own_case_add(request: HttpRequest, pk: int, side: str) -> HttpResponse:
    """A new case of one side."""
    return _case(request, draft_or_404(pk), side, None)


@approver_required
def own_case(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Change one case."""
    return _case(request, draft_or_404(pk), "", number)


def _case(request: HttpRequest, own: OwnEdition, side: str, number: int | None) -> HttpResponse:
    cases = read_cases(own.cases)
    if number is not None and number >= len(cases):
        raise Http404
    before = None if number is None else cases[number]
    side = before["side"] if before else side
    if side not in SIDES:
        raise Http404
    form = CaseForm(side, before, posted(request))
    saving, found = Saving(request, own, form), None
    if request.method == "POST" and form.is_valid() and form.case is not None:
        after = [*cases, form.case] if number is None else [*cases[:number], form.case, *cases[number + 1 :]]
        (found,) = judged(build(own.key, files_of(own)), [form.case])
        if found.found == "cannot be read":
            form.add_error(None, f"The entries cannot be read. {found.sentence}")
        elif len(after) > MOST:
            form.add_error(None, f"An edition has {MOST} cases or fewer. Remove one first.")
        elif "try" not in request.POST and saving.by(
            lambda version: save_cases(own, as_cases(after), request.user, version)
        ):
            said = "It comes out as stated." if found.is_green else f"It comes out otherwise: {found.found}."
            tell = messages.success if found.is_green else messages.warning
            tell(request, f"The case is saved. {said}")
            return redirect(own)
    return saving.page("case", side=SIDES[side], found=found, number=number)


@approver_required
@require_POST
def own_case_remove(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Take a case out."""
    own = draft_or_404(pk)
    cases = read_cases(own.cases)
    if number >= len(cases):
        raise Http404
    try:
        save_cases(
            own, as_cases([*cases[:number], *cases[number + 1 :]]), request.user, request.POST.get("version")
        )
        messages.success(request, f"The case “{cases[number]['name']}” is removed.")
    except (ChangedMeanwhile, NotPublished) as error:
        messages.warning(request, f"{error} Nothing was removed.")
    return redirect(own)

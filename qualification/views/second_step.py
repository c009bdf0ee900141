"""The own second step of signing in: setting it up, new recovery codes, taking it off."""

from __future__ import annotations

import io
from collections.abc import Sequence

import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from qualification import second_step as steps
from qualification.forms.passkeys import PasskeyForm
from qualification.forms.second_step import SecondStepForm
from qualification.kept_entries import SECOND_STEP_DUE
from qualification.models import Shop
from qualification.own_password import asks_password
from qualification.passkeys import NOT_HERE, host_of
from qualification.records.audit_people import second_step_changed
from qualification.roles import SignedInRequest


@never_cache
@login_required
def second_step(request: SignedInRequest) -> HttpResponse:
    """Show whether there is one, and do what a button says: `begin`, `confirm`, `new_codes` or `take_off`."""
    person, does = request.user, request.POST.get("does", "")
    if does == "begin":
        if steps.app_of(person) is None:
            steps.begin(person)
        return redirect("second_step")
    form = SecondStepForm(request.POST if does else None, request=request)
    has_one = steps.has_one(person)
    if does == "take_off" and steps.is_wanted_of(person):
        form.add_error(
            None, "This shop asks a second step of you. A shop administrator can change that under Shop."
        )
    codes: Sequence[str] = ()
    if does and form.is_valid():
        if has_one and does == "take_off":
            steps.take_off(person)
            second_step_changed(person, person, on=False)
            messages.success(request, "The second step is taken off. You sign in by password alone.")
            return redirect("second_step")
        codes = steps.new_recovery_codes(person)
        if not has_one:
            second_step_changed(person, person, on=True)
            request.session.pop(SECOND_STEP_DUE, None)
        form = SecondStepForm(request=request)
    return second_step_page(request, form, codes=codes)


def second_step_page(
    request: SignedInRequest,
    form: SecondStepForm | None = None,
    passkey_form: PasskeyForm | None = None,
    codes: Sequence[str] = (),
) -> HttpResponse:
    """The page with what was entered in one of its forms, and recovery codes just made."""
    person = request.user
    begun = steps.begun(person)
    form = form or SecondStepForm(request=request)
    context = {
        "form": form,
        "passkey_form": passkey_form or PasskeyForm(request=request),
        "passkeys": person.passkeys.all(),
        "has_one": steps.has_one(person),
        "not_here": "" if host_of(request) else NOT_HERE,
        "asks_password": asks_password(request),
        "app": steps.app_of(person),
        "secret": steps.secret_of(begun) if begun else "",
        "codes": codes,
        "left": steps.recovery_codes_left(person),
        "wanted": steps.is_wanted_of(person),
    }
    wrong = bool(form.errors) or passkey_form is not None
    return render(request, "qualification/second_step.html", context, status=422 if wrong else 200)


@never_cache
@login_required
def second_step_picture(request: SignedInRequest) -> HttpResponse:
    """The code that the app scans, as a picture; gone once the app counts."""
    app = steps.begun(request.user)
    if app is None:
        raise Http404
    out = io.BytesIO()
    segno.make(steps.address_for(app, Shop.current().name), micro=False).save(
        out, kind="svg", scale=4, light="#fff"
    )
    return HttpResponse(out.getvalue(), content_type="image/svg+xml")

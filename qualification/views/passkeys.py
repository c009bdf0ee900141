"""Passkeys: what the browser is asked, adding one, removing one."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from qualification import passkeys as keys
from qualification import second_step as steps
from qualification.forms.passkeys import PasskeyForm
from qualification.kept_entries import SECOND_STEP_DUE
from qualification.own_password import problem_with_password
from qualification.records.audit_people import second_step_changed
from qualification.roles import SignedInRequest
from qualification.views.second_step import second_step_page


@never_cache
@login_required
@require_safe
def passkey_asked(request: SignedInRequest) -> HttpResponse:
    """What the browser is to make a passkey of."""
    try:
        return HttpResponse(keys.asked_to_make(request, request.user), content_type="application/json")
    except keys.PasskeyRefused as refused:
        return HttpResponse(str(refused), status=409, content_type="text/plain; charset=utf-8")


@never_cache
@require_safe
def passkey_sign_in(request: SignedInRequest) -> HttpResponse:
    """What a passkey is to sign at signing in; the same for everybody."""
    try:
        return HttpResponse(keys.asked_to_sign(request), content_type="application/json")
    except keys.PasskeyRefused as refused:
        return HttpResponse(str(refused), status=409, content_type="text/plain; charset=utf-8")


@never_cache
@login_required
@require_POST
def passkey_make(request: SignedInRequest) -> HttpResponse:
    """Keep a new one; the first second step brings recovery codes along."""
    had_one = steps.has_one(request.user)
    form = PasskeyForm(request.POST, request=request)
    if not form.is_valid():
        return second_step_page(request, passkey_form=form)
    second_step_changed(request.user, request.user, on=True, what=f"passkey “{form.cleaned_data['name']}”")
    request.session.pop(SECOND_STEP_DUE, None)
    messages.success(request, f"The passkey “{form.cleaned_data['name']}” is on file.")
    if had_one:
        return redirect("second_step")
    return second_step_page(request, codes=steps.new_recovery_codes(request.user))


@login_required
@require_POST
def passkey_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    """Remove one; the last second step stays where the shop asks for one."""
    passkey = get_object_or_404(request.user.passkeys, pk=pk)
    is_last = steps.app_of(request.user) is None and request.user.passkeys.count() == 1
    if problem := problem_with_password(request):
        messages.error(request, problem)
    elif is_last and steps.is_wanted_of(request.user):
        messages.error(request, "This shop asks a second step of you. Set up another one before.")
    elif is_last:
        steps.take_off(request.user)
        second_step_changed(request.user, request.user, on=False, what=f"passkey “{passkey}”")
        messages.success(request, "The second step is taken off. You sign in by password alone.")
    else:
        passkey.delete()
        second_step_changed(request.user, request.user, on=False, what=f"passkey “{passkey}”")
        messages.success(request, f"The passkey “{passkey}” is removed.")
    return redirect("second_step")

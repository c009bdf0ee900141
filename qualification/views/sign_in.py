"""Signing in and out, and changing the own password."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import views
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse_lazy

from qualification.first_visit import nobody_yet
from qualification.forms.sign_in import OwnPasswordForm, SignInForm


class SignIn(views.LoginView):
    """The sign-in page; someone already signed in goes straight on."""

    template_name = "qualification/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**kwargs) | {"nobody_yet": nobody_yet()}


def locked_out(
    request: HttpRequest, response: HttpResponse | None, credentials: dict[str, Any] | None
) -> HttpResponse:
    """429: the sign-in page after too many failures under one name, whether somebody has that name or not."""
    name = str((credentials or {}).get("username") or request.POST.get("username", ""))
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    refusal = (
        f"Signing in as {name[:150]} is locked after {settings.AXES_FAILURE_LIMIT} failed attempts. Wait"
        f" {minutes} minutes, then try again. A shop administrator can lift it at once by giving a new"
        " password under Shop, People."
    )
    context = {
        "form": SignInForm(request, initial={"username": name}),
        "next": request.POST.get("next", ""),
        "refusal": refusal,
    }
    return render(request, "qualification/sign_in.html", context, status=429)


class SignOut(views.LogoutView):
    """Signs out on POST and returns to the sign-in page."""


class ChangePassword(views.PasswordChangeView):
    """Changes the own password, keeping this session signed in."""

    template_name = "qualification/change_password.html"
    form_class = OwnPasswordForm
    success_url = reverse_lazy("today")

    def form_valid(self, form: OwnPasswordForm) -> HttpResponse:
        messages.success(self.request, "Your password is changed.")
        return super().form_valid(form)

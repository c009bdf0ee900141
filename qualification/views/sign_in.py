"""Signing in and out, and changing the own password."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.urls import reverse, reverse_lazy
from django.views.decorators.cache import never_cache

from qualification import second_step
from qualification.first_visit import nobody_yet
from qualification.forms.sign_in import OwnPasswordForm, SignInForm
from qualification.kept_entries import OVER_A_PAGE, PASSWORD_DUE, SECOND_STEP_DUE, KeptPost, remember
from qualification.models import Passkey, PasswordDue
from qualification.passkeys import host_of
from qualification.records.audit_people import own_password_changed, signed_in
from qualification.tongues.told import told


class SignIn(views.LoginView):
    """The sign-in page; someone already signed in goes straight on."""

    template_name = "qualification/sign_in.html"
    authentication_form = SignInForm

    @property
    def redirect_authenticated_user(self) -> bool:  # type: ignore[override]  # asked for each request
        """A form over a page may be there because somebody else is signed in by now."""
        return not _over_a_page(self.request)

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Go on where somebody came from; with a form that was sent too late, hand back what was typed."""
        answer, kept = super().form_valid(form), KeptPost.read(self.request)
        person = form.get_user()
        signed_in(person)
        when = OVER_A_PAGE if _over_a_page(self.request) or kept else "yes"
        if PasswordDue.objects.filter(person=person).exists():
            self.request.session[PASSWORD_DUE] = when
        if second_step.is_wanted_of(person) and not second_step.has_one(person):
            self.request.session[SECOND_STEP_DUE] = when
        if _over_a_page(self.request):
            answer = JsonResponse({"signed_in": True})
        elif kept is not None:
            answer = render(self.request, "qualification/handed_back.html", {"kept": kept})
        remember(answer, person, settings.HTTPS)
        return answer

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        if _over_a_page(self.request):
            refused = " ".join(told(error) for error in sum(form.errors.values(), []))
            answer: dict[str, Any] = {"refused": refused}
            answer["wants_code"] = "code" in form.errors  # so the password was right
            if answer["wants_code"] and self._has_passkey_here(form.cleaned_data["username"]):
                answer["passkey"] = reverse("passkey_sign_in")
            return JsonResponse(answer, status=422)
        return super().form_invalid(form)

    def _has_passkey_here(self, name: str) -> bool:
        return Passkey.objects.filter(host=host_of(self.request), person__username=name).exists()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        own = {
            "nobody_yet": nobody_yet(),
            "kept": KeptPost.read(self.request),
            "may_use_passkey": Passkey.objects.filter(host=host_of(self.request)).exists(),
        }
        return super().get_context_data(**kwargs) | own


def _over_a_page(request: HttpRequest) -> bool:
    """Whether the sign-in form stands over another page, whose script reads the answer."""
    return request.headers.get("Accept") == "application/json"


@never_cache
def session(request: HttpRequest) -> HttpResponse:
    """For the script of an open page: who is signed in now, and the token its forms need."""
    return JsonResponse({"person": request.user.pk, "csrf": get_token(request)})


def locked_out(
    request: HttpRequest, response: HttpResponse | None, credentials: dict[str, Any] | None
) -> HttpResponse:
    """429: the sign-in page after too many failures under one name from one address, whether somebody
    has that name or not."""
    name = str((credentials or {}).get("username") or request.POST.get("username", ""))
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    refusal = (
        f"Signing in as {name[:150]} is locked on this device after {settings.AXES_FAILURE_LIMIT} failed"
        f" attempts. Wait {minutes} minutes, then try again. A shop administrator can lift it at once by"
        " giving a new password under Shop, People."
    )
    if _over_a_page(request):
        return JsonResponse({"refused": told(refusal)}, status=429)
    context = {
        "form": SignInForm(request, initial={"username": name}),
        "kept": KeptPost.read(request),
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

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"request": self.request}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**kwargs) | {"due": PASSWORD_DUE in self.request.session}

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        own_password_changed(form.user)
        PasswordDue.objects.filter(person=self.request.user.pk).delete()
        self.request.session.pop(PASSWORD_DUE, None)
        messages.success(self.request, "Your password is changed.")
        return super().form_valid(form)

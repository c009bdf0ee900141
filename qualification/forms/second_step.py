"""The form that sets up, renews and takes off the second step of signing in."""

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.http import HttpRequest

from qualification import second_step
from qualification.own_password import problem_with_guess


class SecondStepForm(forms.Form):
    """The own password, so that nobody does it at a screen left open, and a code of the app."""

    password = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Enter the password you signed in with."},
    )
    code = forms.CharField(
        label="Code",
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autocapitalize": "none"}),
        error_messages={
            "required": "Enter the six digits the app shows now.",
            "max_length": second_step.NOT_RIGHT,
        },
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        assert isinstance(request.user, User)
        self.request, self.person = request, request.user
        self.fields["code"].help_text = (
            "The six digits the app shows now, or a recovery code."
            if second_step.has_one(self.person)
            else "The six digits the app shows now."
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "password" in cleaned and (problem := problem_with_guess(self.request, cleaned["password"])):
            self.add_error("password", problem)
        if not self.errors and (problem := self._problem(cleaned["code"])):
            self.add_error("code", problem)
        return cleaned

    def _problem(self, code: str) -> str:
        app = second_step.begun(self.person)
        if app is None and second_step.has_one(self.person):
            return second_step.problem_with(self.person, code)
        return second_step.confirm(app, code) if app else "Start again: the picture to scan is out of date."

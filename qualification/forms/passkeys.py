"""The form that adds a passkey: whose it is, by the own password, and what the browser made."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.http import HttpRequest

from qualification import passkeys
from qualification.forms.fields import text_field
from qualification.own_password import problem_with_guess


class PasskeyForm(forms.Form):
    """A new passkey of the person signed in."""

    name = text_field("Name of the device", 60, "Name the device, such as: office laptop.")
    password = forms.CharField(
        label="Your password",
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Enter the password you signed in with."},
    )
    passkey = forms.CharField(
        required=False, max_length=passkeys.LONGEST_ANSWER, widget=forms.HiddenInput, label="Passkey"
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_passkey_%s", **kwargs)
        self.request = request

    def clean(self) -> dict[str, Any]:
        """The passkey is kept once all else is right."""
        cleaned, person = super().clean() or {}, self.request.user
        assert isinstance(person, User)
        if "password" in cleaned and (problem := problem_with_guess(self.request, cleaned["password"])):
            self.add_error("password", problem)
        if not self.errors:
            try:
                passkeys.make(self.request, person, cleaned.get("passkey", ""), cleaned["name"])
            except passkeys.PasskeyRefused as refused:
                self.add_error(None, str(refused))
        return cleaned

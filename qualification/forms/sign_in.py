"""Forms for signing in and for the own password."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_login_failed
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from qualification import passkeys, second_step
from qualification.own_password import NO_MATCH, problem_with_guess


class SignInForm(AuthenticationForm):
    """Sign-in name, password, and the code of those who have set up a second step."""

    code = forms.CharField(
        label=_("Code"),
        required=False,
        max_length=20,
        help_text=_("If you have set up a second step: from the app on your phone, or a recovery code."),
        error_messages={"max_length": second_step.NOT_RIGHT},
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "autocapitalize": "none"}),
    )

    passkey = forms.CharField(
        required=False, max_length=passkeys.LONGEST_ANSWER, widget=forms.HiddenInput, label="Passkey"
    )

    error_messages = {
        "invalid_login": _(
            "Sign-in name and password do not belong together. Check both; capitals count in the password."
        ),
        "inactive": _(
            "This sign-in is switched off. A shop administrator can switch it on under Shop, People."
        ),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("Sign-in name")
        self.fields["username"].error_messages["required"] = _("Enter your sign-in name.")
        self.fields["password"].error_messages["required"] = _("Enter your password.")
        if not second_step.anybody_has_one():
            del self.fields["code"], self.fields["passkey"]

    def clean(self) -> dict[str, Any]:
        """Code or passkey is looked at once the password is right; a wrong one is an attempt that failed."""
        cleaned = super().clean()
        person, code, key = self.get_user(), cleaned.get("code", ""), cleaned.get("passkey", "")
        if person is not None and (problem := self._problem(person, code, key)):
            if code or key:
                user_login_failed.send(
                    sender=type(self),
                    credentials={"username": cleaned["username"]},
                    request=self.request,
                )
            self.user_cache = None
            self.add_error("code", problem)
        return cleaned

    def _problem(self, person: User, code: str, key: str) -> str:
        if key and not code and passkeys.has_one(person):
            return passkeys.problem_with(self.request, person, key)
        return second_step.problem_with(person, code)


class OwnPasswordForm(PasswordChangeForm):
    """The old password once, the new one twice."""

    error_messages = {
        "password_incorrect": "Current password does not match. Enter the password you signed in with.",
        "password_mismatch": "New password and its repeat differ. Enter the same new password twice.",
    }

    def clean_old_password(self) -> str:
        """The present one, by no more guesses than a sign-in has."""
        typed: str = self.cleaned_data["old_password"]
        if problem := problem_with_guess(self.request, typed):
            is_wrong = problem == NO_MATCH
            raise ValidationError(self.error_messages["password_incorrect"] if is_wrong else problem)
        return typed

    def clean_new_password1(self) -> str:
        """Another one than now: the present one may be known to who set it."""
        new = self.cleaned_data["new_password1"]
        if self.user.check_password(new):
            raise ValidationError("New password is the current one. Choose another.", code="same")
        return new

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request
        labels = {
            "old_password": "Current password",
            "new_password1": "New password",
            "new_password2": "New password, repeated",
        }
        for name, label in labels.items():
            self.fields[name].label = label
            self.fields[name].error_messages["required"] = f"Enter the {label.lower()}."
        self.fields[
            "new_password1"
        ].help_text = (
            "At least 8 characters, not only digits, not a common password and not like your own name."
        )
        self.fields["new_password2"].help_text = ""

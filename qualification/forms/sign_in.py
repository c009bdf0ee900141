"""Forms for signing in and for the own password."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm


class SignInForm(AuthenticationForm):
    """Sign-in name and password."""

    error_messages = {
        "invalid_login": (
            "Sign-in name and password do not belong together. Check both; capitals count in the password."
        ),
        "inactive": "This sign-in is switched off. A shop administrator can switch it on under Shop, People.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Sign-in name"
        self.fields["username"].error_messages["required"] = "Enter your sign-in name."
        self.fields["password"].error_messages["required"] = "Enter your password."


class OwnPasswordForm(PasswordChangeForm):
    """The old password once, the new one twice."""

    error_messages = {
        "password_incorrect": "Current password does not match. Enter the password you signed in with.",
        "password_mismatch": "New password and its repeat differ. Enter the same new password twice.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
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

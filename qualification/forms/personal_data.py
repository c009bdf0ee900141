"""How long what is private of a former welder is kept."""

from __future__ import annotations

from django import forms

from qualification.models import Shop

YEARS = (1, 2, 3, 5, 10, 20, 30)


class KeepingForm(forms.ModelForm):
    """The shop's time."""

    personal_years = forms.TypedChoiceField(
        label="Remind to remove it after",
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", "Never"), *((each, f"{each} year{'' if each == 1 else 's'}") for each in YEARS)],
        help_text="Counted from the last use, test or weld of a welder who is no longer active.",
        error_messages={
            "invalid_choice": "Remind to remove it after has no “%(value)s”. Choose one of those listed."
        },
    )

    class Meta:
        model = Shop
        fields = ["personal_years"]

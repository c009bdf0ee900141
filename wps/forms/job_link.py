"""The form of a link that shows one job to somebody outside the shop."""

from __future__ import annotations

from datetime import date, timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from qualification.forms.days import DayField
from qualification.forms.fields import text_field
from wps.models.job_link import LONGEST_DAYS

DAYS = 30
"""How long a link opens where nobody says otherwise."""


class JobLinkForm(forms.Form):
    """For whom it is, and until when."""

    recipient = text_field(
        "Recipient", 120, "Enter whom the link is for.", "The inspector or firm; the trail names it."
    )
    ends_on = DayField(
        label="Opens until",
        needed="Enter the last day on which the link opens.",
        help_text="It can be taken back before.",
        initial=lambda: timezone.localdate() + timedelta(days=DAYS),
    )

    def clean_ends_on(self) -> date:
        ends_on, today = self.cleaned_data["ends_on"], timezone.localdate()
        latest = today + timedelta(days=LONGEST_DAYS)
        if not today <= ends_on <= latest:
            raise ValidationError(
                f"Opens until: {ends_on} is no day from today, {today}, to {latest}. Enter one of them; a new"
                " link can be made when this one has ended.",
                code="out_of_range",
            )
        return ends_on

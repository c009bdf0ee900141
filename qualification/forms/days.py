"""A form field for the day on which something was done."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

EARLIEST = date(1950, 1, 1)
"""No record a shop still works from is older (common practice); an earlier day is a slip in the year."""


class DayField(forms.DateField):
    """A day. Errors are sentences with the field's own label and what was entered."""

    def __init__(self, *, label: str, needed: str = "", **kwargs: Any) -> None:
        """`needed`: the sentence for an empty field; without it the field may stay empty."""
        kwargs.setdefault(
            "widget", forms.DateInput(format="%Y-%m-%d", attrs={"type": "date", "autocomplete": "off"})
        )
        super().__init__(label=label, required=bool(needed), input_formats=["%Y-%m-%d"], **kwargs)
        self.error_messages["required"] = needed

    def to_python(self, value: Any) -> date | None:
        try:
            return super().to_python(value)
        except ValidationError as error:
            raise ValidationError(
                f"{self.label}: “{value}” is not a day. Write year, month and day, such as"
                f" {timezone.localdate():%Y-%m-%d}.",
                code="not_a_day",
            ) from error


class PastDayField(DayField):
    """A day up to today."""

    def validate(self, value: date | None) -> None:
        super().validate(value)
        if value is None:
            return
        today = timezone.localdate()
        if value > today:
            raise ValidationError(
                f"{self.label}: {value} lies in the future. Enter a day up to today, {today}.", code="future"
            )
        if value < EARLIEST:
            raise ValidationError(
                f"{self.label}: {value} is before {EARLIEST}. Check the year.", code="too_early"
            )

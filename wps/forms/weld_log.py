"""Forms of the weld log: what was done to welds, and lots of material."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from qualification.forms.days import PastDayField
from qualification.forms.fields import CHOOSE, choice_field, layout_of, text_field
from qualification.models import Welder
from wps.models import Attachment, Lot, LotKind, Result, Step
from wps.models.weld_log import METHODS


class StepForm(forms.Form):
    """One thing that was done to one weld or to many."""

    step = choice_field("What was done", Step.choices, "What was done: choose one.")
    done_on = PastDayField(label="Day", needed="Day: enter the day on which it was done.")
    welder = forms.ModelChoiceField(
        Welder.objects.filter(active=True),
        label="Welder",
        required=False,
        empty_label="Choose",
        error_messages={"invalid_choice": "Welder: choose an active welder."},
    )
    by_name = text_field("Checked by", 120, help_text="Fit-up, visual and NDE.")
    method = choice_field("NDE method", [CHOOSE, *METHODS])
    result = choice_field("Result", [CHOOSE, *Result.choices])
    report = text_field("Report", 80)
    lots = forms.ModelMultipleChoiceField(
        Lot.objects.filter(used_up=False),
        label="Lots and heats",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": "Lots and heats: choose lots that are not used up."},
    )
    gas = text_field("Gas", 80)
    reason = text_field("Reason", 200, help_text="Only where the welder or WPS does not cover the weld.")
    note = text_field("Note", 300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["done_on"].initial = timezone.localdate()
        if not Lot.objects.filter(used_up=False).exists():
            del self.fields["lots"]
        self.helper = layout_of(*self._groups(), disable_csrf=True)

    def _groups(self) -> list[Any]:
        lots = ["lots"] if "lots" in self.fields else []
        return [
            Fieldset("What was done", Row("step", "done_on"), Row("welder", "by_name")),
            Fieldset("Examination", Row("method", "result"), "report"),
            Fieldset("Material", *lots, "gas"),
            Fieldset("Remarks", "reason", "note"),
        ]

    def entry(self) -> dict[str, Any]:
        """The fields of a line of the log."""
        data = dict(self.cleaned_data)
        return {**{key: data[key] for key in data if key != "marks"}, "lots": list(data.get("lots") or ())}


class BulkForm(StepForm):
    """The same for many welds at once."""

    marks = forms.CharField(
        label="Welds",
        max_length=4000,
        help_text="Marks and ranges, such as 0405, 0413-0420.",
        error_messages={"required": "Welds: enter the marks."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def _groups(self) -> list[Any]:
        return [Fieldset("Welds", "marks"), *super()._groups()]


class LotForm(forms.ModelForm):
    """Material as it was received."""

    kind = choice_field("Material of", LotKind.choices, "Material of: choose one.")
    number = text_field("Lot or heat number", 60, "Lot or heat number: enter it as on the material.")
    material = text_field("Material", 160, "Material: enter what it is, such as ER5356 3/64.")
    supplier = text_field("Supplier", 120)
    amount = text_field("Amount", 60, help_text="Such as 12 spools.")
    received_on = PastDayField(label="Received on")
    certificate = forms.ModelChoiceField(
        Attachment.objects.filter(set_aside_because=""),
        label="Certificate",
        required=False,
        empty_label="Not on file",
        help_text="Add it under Jobs, Add a document, first.",
        error_messages={"invalid_choice": "Certificate: choose a paper on file."},
    )
    used_up = forms.BooleanField(
        label="Used up", required=False, help_text="It is no longer offered at the weld."
    )

    class Meta:
        model = Lot
        fields = [
            "kind", "number", "material", "supplier", "amount", "received_on", "certificate", "used_up",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            Fieldset("Lot", Row("kind", "number"), "material", Row("supplier", "amount"), "received_on"),
            Fieldset("Certificate", "certificate", "used_up"),
            disable_csrf=True,
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        number, kind = " ".join(cleaned.get("number", "").split()), cleaned.get("kind")
        taken = Lot.objects.filter(kind=kind, number__iexact=number).exclude(pk=self.instance.pk).first()
        if number and taken is not None:
            self.add_error(
                "number", ValidationError(f"Lot {number} is on file: {taken}. Correct one.", code="taken")
            )
        if number:
            cleaned["number"] = number
        return cleaned

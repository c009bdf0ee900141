"""Jobs and their parts: everything but the entries of a weld."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Div, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.editions import (
    as_choices,
    edition_name,
    editions_for_procedures,
    editions_for_welders,
)
from qualification.forms.days import DayField
from qualification.forms.fields import choice_field, edition_field, layout_of, text_field
from qualification.models import State, UnitSystem
from qualification.rules.core.quantities import QuantityError
from qualification.rules.entries.notation import Manner, read_measure
from qualification.rules.entries.reading import LONGEST_TEXT
from wps.models import Job, Part, Spec

MOST_PIECES = 100_000
"""Pieces one mark may stand for."""


class JobForm(forms.ModelForm):
    """One order."""

    number = text_field("Job number", 40, "Enter the job number.")
    title = text_field("Title", 160, "Enter what the job is.", "What is made, in a few words.")
    customer = text_field("Customer", 120)
    edition = edition_field(
        "Code edition",
        "Choose the code edition the job is welded to.",
        "The job's welds are judged under it.",
    )
    welder_edition = edition_field(
        "Welders qualified to",
        help_text="Where welders are qualified to a code of their own, such as ISO 9606.",
    )
    ends_on = DayField(
        label="Welds due by", help_text="Pages of the job then say which welder lapses before that day."
    )
    notes = text_field("Notes", LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 3}))
    open = forms.BooleanField(
        label="Still open", required=False, help_text="Closed jobs stay readable and stand last in the list."
    )

    class Meta:
        model = Job
        fields = ["number", "title", "customer", "edition", "welder_edition", "ends_on", "notes", "open"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered, own = as_choices(editions_for_procedures()), self.instance.edition
        kept = [] if not own or own in dict(offered) else [(own, edition_name(own))]
        self.fields["edition"].choices = [*offered, *kept]
        self.fields["welder_edition"].choices = [("", "The same code"), *editions_for_welders()]
        self.helper = layout_of(
            Fieldset("Job", Row("number", "title"), "customer", Row("edition", "welder_edition"), "ends_on"),
            Fieldset("Remarks", "notes", "open"),
            disable_csrf=True,
        )

    def clean_number(self) -> str:
        number = " ".join(self.cleaned_data["number"].split())
        taken = Job.objects.filter(number__iexact=number).exclude(pk=self.instance.pk).first()
        if taken is not None:
            raise ValidationError(f"Job number {number} is taken by {taken}. Choose another.", code="taken")
        return number

    def clean(self) -> dict[str, Any]:
        """A code without rules for welders leaves nobody who may weld, so the job has to name theirs."""
        cleaned = super().clean() or self.cleaned_data
        edition, own = cleaned.get("edition"), cleaned.get("welder_edition")
        if edition and own == "" and edition not in dict(editions_for_welders()):
            name = edition_name(edition)
            self.add_error(
                "welder_edition",
                f"Welders qualified to: {name} has no rules for welders. Choose the code of their tests.",
            )
        return cleaned


OF_THE_WORK = ("drawing", "drawing_revision", "length", "quantity", "inspection_class", "access")


class PartForm(forms.ModelForm):
    """The head of one weld of a job."""

    drawing = text_field("Drawing", 80)
    drawing_revision = text_field("Drawing revision", 20)
    length = text_field("Length of weld", 40)
    quantity = forms.IntegerField(
        label="Quantity",
        required=False,
        min_value=1,
        max_value=MOST_PIECES,
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"),
            f"Quantity: enter a whole number from 1 to {MOST_PIECES:,}.",
        ),
    )
    inspection_class = text_field("Inspection class", 60)
    access = text_field("Access", 160, help_text="What makes it hard to reach.")
    reason = text_field(
        "Reason for an exception", 200, help_text="Only to choose a WPS that does not cover the weld."
    )

    mark = text_field("Weld mark", 40, "Enter the weld mark.")
    title = text_field("Title", 160, "Enter what is joined.")
    units = choice_field("Units", UnitSystem.choices, "Choose the units.", "For numbers without a unit.")
    spec_number = choice_field(
        "Chosen WPS", unknown="Chosen WPS names %(value)s, which has no approved revision. Choose one listed."
    )

    class Meta:
        model = Part
        fields = ["mark", "title", "units", "spec_number", *OF_THE_WORK]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["spec_number"].choices = [("", "Not chosen"), *self._specs()]
        self.helper = layout_of(
            Fieldset(
                "Weld",
                Div("mark", "title", "units", "spec_number", "reason", css_class="entries entries--head"),
                css_class="group--stacked",
            ),
            Fieldset(
                "Drawing and extent",
                Div(*OF_THE_WORK, css_class="entries entries--head"),
                css_class="group--stacked",
            ),
            disable_csrf=True,
            field_template="entries/head_field.html",
        )

    def _specs(self) -> list[tuple[str, str]]:
        approved = Spec.objects.filter(state=State.APPROVED).order_by("number")
        listed = [
            (spec.number, f"{spec.reference}, {spec.title}" if spec.title else spec.reference)
            for spec in approved
        ]
        own = self.instance.spec_number
        return listed if not own or own in dict(listed) else [*listed, (own, f"{own} (no approved revision)")]

    def clean_quantity(self) -> int:
        return self.cleaned_data["quantity"] or 1

    def clean_length(self) -> str:
        """A length as the reader of numbers takes it."""
        text = self.cleaned_data["length"].strip()
        if text:
            try:
                read_measure(text, "length", self.data.get("units") or self.instance.units, Manner())
            except (QuantityError, KeyError) as error:
                raise ValidationError(f"Length of weld: {error}", code="not_a_length") from error
        return text

    def clean_mark(self) -> str:
        mark = " ".join(self.cleaned_data["mark"].split())
        if (
            Part.objects.filter(job=self.instance.job, mark__iexact=mark)
            .exclude(pk=self.instance.pk)
            .exists()
        ):
            raise ValidationError(f"Weld mark {mark} is taken in this job. Choose another.", code="taken")
        return mark

"""The head of a procedure: its number, what it is for, and the tests that support it."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Div, Fieldset, Layout
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from qualification.codes.editions import (
    as_choices,
    edition_name,
    editions_for_procedures,
    editions_with_prequalified,
)
from qualification.forms.fields import choice_field, edition_field, layout_of, text_field
from qualification.models import ProcedureTest, State, UnitSystem
from qualification.rules.entries.reading import LONGEST_TEXT
from wps.models import Spec

HEADS = {
    "number": "Number",
    "title": "Title",
    "customer": "Customer or project",
    "edition": "Code edition",
    "units": "Units",
    "joint_note": "Note beside the sketch",
    "notes": "Notes",
    "prequalified": "Prequalified",
    "change_note": "What this revision changes",
}
"""Plain fields of a procedure and what a page calls them."""


class ProcedureForm(forms.ModelForm):
    """Everything of a procedure but its entries. Only what stands here can keep a draft from being saved."""

    number = text_field(HEADS["number"], 40, "Enter the number of the procedure.")
    title = text_field(HEADS["title"], 120)
    customer = text_field(HEADS["customer"], 120, help_text="Empty: any job.")
    change_note = text_field(HEADS["change_note"], 300)
    joint_note = text_field(HEADS["joint_note"], 300)
    edition = edition_field(HEADS["edition"], "Choose the code edition the procedure is written to.")
    units = choice_field(
        HEADS["units"], UnitSystem.choices, "Choose the units.", "For numbers without a unit."
    )
    prequalified = forms.BooleanField(label="Prequalified: the code asks for no test", required=False)
    notes = text_field(
        HEADS["notes"],
        LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Printed on the procedure.",
    )
    tests = forms.ModelMultipleChoiceField(
        ProcedureTest.objects.none(),
        label="Supporting tests",
        required=False,
        error_messages={
            "invalid_choice": "Supporting tests names one that is not offered. Load the page again.",
            "invalid_pk_value": "Supporting tests names one that is not offered. Load the page again.",
        },
    )

    class Meta:
        model = Spec
        fields = [
            "number",
            "title",
            "customer",
            "edition",
            "units",
            "prequalified",
            "change_note",
            "joint_note",
            "notes",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["edition"].choices = self._editions()
        self.fields["tests"].queryset = tests_to_offer(self.instance)
        if self.instance.pk and "tests" not in self.initial:
            self.fields["tests"].initial = list(self.instance.tests.values_list("pk", flat=True))
        if self.instance.revision:
            del self.fields["number"]  # a later revision keeps the number of the first
        else:
            del self.fields["change_note"]
        self.helper = layout_of(disable_csrf=True, field_template="entries/head_field.html")
        listed = [
            name
            for name in ("number", "title", "customer", "edition", "units", "change_note")
            if name in self.fields
        ]
        self.helper.layout = Layout(
            Fieldset("Procedure", Div(*listed, css_class="entries entries--head"), css_class="group--stacked")
        )

    def _editions(self) -> list[tuple[str, str]]:
        """The editions with rules for procedures; the procedure's own stays on the list even without."""
        editions = as_choices(editions_for_procedures())
        own = self.instance.edition
        if not own or own in dict(editions):
            return editions
        name = edition_name(own)
        return [*editions, (own, f"{own} (no tables installed)" if name == own else name)]

    def clean(self) -> dict[str, Any]:
        """Only some codes know procedures without a test."""
        cleaned = super().clean() or self.cleaned_data
        edition = cleaned.get("edition")
        if cleaned.get("prequalified") and edition and edition not in dict(editions_with_prequalified()):
            name = dict(self.fields["edition"].choices)[edition]
            self.add_error(
                "prequalified",
                f"Prequalified: {name} has no procedures without a test. Take the tick away, or choose"
                " another edition.",
            )
        return cleaned

    def clean_number(self) -> str:
        number = " ".join(self.cleaned_data["number"].split())
        taken = (
            Spec.objects.filter(number__iexact=number)
            .exclude(pk=self.instance.pk)
            .order_by("-revision")
            .first()
        )
        if taken is not None:
            raise ValidationError(
                f"Number {number} is taken by {taken}. Choose another, or start a revision of it.",
                code="taken",
            )
        return number


def tests_to_offer(spec: Spec) -> Any:
    """Tests that can support a procedure now or once they are approved, and those it names already."""
    wanted = Q(state__in=[State.APPROVED, State.IN_REVIEW, State.DRAFT])
    if spec.pk:
        wanted |= Q(specs=spec)
    return ProcedureTest.objects.filter(wanted).distinct().order_by("number", "-revision")

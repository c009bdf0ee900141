"""Forms for house limits: first what is limited, then what is allowed, typed as on a record."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.house_limits import limitable, read_allowed
from qualification.forms.entries import MOST_TICKED
from qualification.forms.fields import choice_field, layout_of, text_field, ticks_field, typed
from qualification.forms.suggestions import suggested
from qualification.models import HouseRule, OwnerKind, Shop, UnitSystem
from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.entries.reading import Entry, EntryError
from qualification.rules.variables.definition import PROCESSES, ValueKind, Variable

AT_MOST, AT_LEAST, BETWEEN = "at_most", "at_least", "between"
REACH = [(AT_MOST, "At most"), (AT_LEAST, "At least"), (BETWEEN, "Between, or exactly")]


class LimitedForm(forms.Form):
    """Which property of a weld a new limit is about."""

    variable = choice_field("What is limited", needed="Choose what is limited.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        groups: dict[str, list[tuple[str, str]]] = {}
        for variable in limitable():
            groups.setdefault(variable.group, []).append((variable.key, variable.label))
        self.fields["variable"].choices = [("", "Choose"), *groups.items()]
        self.helper = layout_of("variable")


class HouseRuleForm(forms.ModelForm):
    """Whose limit it is, what it allows, for which processes, and why."""

    owner_kind = choice_field(
        "Whose limit", OwnerKind.choices, "Choose whose limit it is.", widget=forms.RadioSelect
    )
    owner_name = text_field(
        "Customer or job number",
        120,
        help_text="As on its procedures and jobs. Empty for the shop's own limit.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "suggest-owners"}),
    )
    processes = ticks_field("Processes", help_text="None ticked: every process that has it.")
    reason = text_field(
        "Where it stands",
        200,
        "Enter where the limit stands or why it is set.",
        "Purchase order, drawing note or shop rule; every finding says it.",
    )

    class Meta:
        model = HouseRule
        fields = ["owner_kind", "owner_name", "processes", "reason"]

    def __init__(self, variable: Variable, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.variable = variable
        self.fields["processes"].choices = [(p, p) for p in PROCESSES if p in variable.processes]
        self.is_number, self.is_ticked = (
            variable.kind is ValueKind.NUMBER,
            variable.kind is ValueKind.CHOICE and len(variable.choices) <= MOST_TICKED,
        )
        self.fields["entry"] = self._entry()
        allowed: list[Any] = ["entry"]
        if self.is_number:
            self.fields["reach"] = choice_field(
                "The number is allowed to be",
                REACH,
                "Choose at most, at least or between.",
                initial=AT_MOST,
                unknown="There is no “%(value)s”. Choose one of those listed.",
            )
            self.fields["units"] = choice_field(
                "Units",
                UnitSystem.choices,
                "Choose the units.",
                "For a number without a unit.",
                initial=UnitSystem.US if Shop.current().inch_first else UnitSystem.SI,
            )
            allowed = [Row("reach", "entry", "units")]
        self.helper = layout_of(
            Fieldset("Whose", "owner_kind", "owner_name"),
            Fieldset(variable.label, *allowed, "processes"),
            Fieldset("Reason", "reason"),
        )

    def _entry(self) -> forms.Field:
        if self.is_ticked:
            return ticks_field(
                "Allowed",
                [(c.key, c.label) for c in self.variable.choices],
                "Tick at least one that is allowed.",
                "What is left unticked is not allowed.",
            )
        hint = _number_hint(self.variable) if self.is_number else "Several, separated by semicolons."
        return text_field(
            "Allowed", 400, "Say what is allowed.", hint, widget=typed(**suggested(self.variable))
        )

    def clean_owner_name(self) -> str:
        """Names are compared as they stand on procedures and jobs; the shop's own limit has none."""
        name, kind = " ".join(self.cleaned_data["owner_name"].split()), self.cleaned_data.get("owner_kind")
        if kind == OwnerKind.SHOP and name:
            raise ValidationError(
                f"Customer or job number: “{name}” is named, and the limit is the shop's own. Empty the"
                " field, or choose whose it is."
            )
        if kind in (OwnerKind.CUSTOMER, OwnerKind.JOB) and not name:
            raise ValidationError(
                "Enter the customer's name." if kind == OwnerKind.CUSTOMER else "Enter the job's number."
            )
        return name

    def clean(self) -> dict[str, Any]:
        """Read what is allowed as an entry of a record is read."""
        cleaned = super().clean()
        if "entry" in cleaned:
            reach = cleaned.get("reach", BETWEEN)
            self.instance.variable, self.instance.entry = self.variable.key, _as_entry(cleaned["entry"])
            self.instance.units = cleaned.get("units", UnitSystem.US)
            self.instance.at_most, self.instance.at_least = reach == AT_MOST, reach == AT_LEAST
            try:
                read_allowed(
                    self.variable.key,
                    self.instance.entry,
                    self.instance.units,
                    at_most=self.instance.at_most,
                    at_least=self.instance.at_least,
                )
            except EntryError as error:
                self.add_error(
                    "entry", ValidationError(f"{self.fields['entry'].label}: {error}", code="unread")
                )
        return cleaned


def _as_entry(typed: str | list[str]) -> Entry:
    if isinstance(typed, list):
        return typed
    parts = [part.strip() for part in typed.split(";") if part.strip()]
    return parts[0] if len(parts) == 1 else parts


def _number_hint(variable: Variable) -> str:
    unit = DIMENSIONS[str(variable.dimension)].unit_for(UnitSystem.US).symbol
    return (
        f"One number, such as 150 {unit}; two with a dash for between."
        if unit
        else "One number; two with a dash for between."
    )

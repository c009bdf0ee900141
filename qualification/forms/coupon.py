"""The head of a test record: number, code, coupon and report. What was welded is in `record_forms.py`."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import OuterRef, Subquery

from qualification.codes.editions import PROCEDURE, WELDER, as_choices, default_edition, editions_with
from qualification.forms.days import PastDayField
from qualification.forms.fields import choice_field, layout_of, text_field
from qualification.forms.welder_in_place import OWN, WelderInPlace
from qualification.models import CouponRecord, ProcedureTest, Shop, UnitSystem, Welder, WelderTest
from qualification.models.shop import UnitOrder
from qualification.posted import number_in
from qualification.records.drafts import create_draft
from qualification.records.numbering import next_number
from qualification.roles import Person
from qualification.rules.entries.reading import LONGEST_TEXT
from qualification.snapshots.required_items import coupon_items

FIRST_NUMBERS: dict[type[CouponRecord], str] = {ProcedureTest: "PT-001", WelderTest: "WT-001"}
UNITS_HELP = "A bare number is read in these; they also pick which of the code's two sets of limits applies."


class WelderChoice(forms.ModelChoiceField):
    """A welder of the shop; one who has left is offered only where the record names that welder already."""

    def __init__(self, needed: str = "") -> None:
        super().__init__(
            queryset=Welder.objects.none(),
            label="Welder",
            required=bool(needed),
            empty_label="Not stated" if not needed else "Choose",
            error_messages={
                "required": needed,
                "invalid_choice": "Welder is not one of those listed. Choose one, or add the welder first.",
            },
        )

    def offer(self, present: Welder | None) -> None:
        listed = Welder.objects.filter(active=True)
        self.queryset = listed | Welder.objects.filter(pk=present.pk) if present else listed


TAKEN_OVER = ("joint", "lines", "tests_wanted", "spec_followed", "laboratory")
"""What a record that repeats another coupon takes over: the set-up, by which procedure, and who tests it."""
OF_ONE_COUPON = frozenset(
    [
        "amps",
        "amps_mean",
        "volts",
        "volts_mean",
        "wire_feed",
        "wire_feed_mean",
        "travel_speed",
        "travel_speed_mean",
        "heat_input",
        "bead_length",
        "run_out_length",
        "preheat_min",
        "interpass_max",
        "pwht_temperature",
        "pwht_time",
        "pwht_rates",
        "ageing",
        "heat_number_a",
        "heat_number_b",
        "filler_lot",
        "flux_batch",
    ]
)
"""What was read or stamped on one coupon: taken over, it would be an invented actual of the next (a record
states what was read, common practice of reviewers)."""


def _set_up(entries: dict[str, Any]) -> dict[str, Any]:
    return {key: deepcopy(entry) for key, entry in entries.items() if key not in OF_ONE_COUPON}


class StartForm(forms.Form):
    """What a new test record cannot do without. Everything else is entered on the draft."""

    number = text_field(
        "Number", 40, "Enter the record's number.", "As the shop counts its records, for example PT-014."
    )
    title = text_field("Title", 120, help_text="A few words to find it by.")
    edition = choice_field(
        "Code edition",
        needed="Choose the code edition.",
        help_text="The record keeps the edition it was started under.",
    )
    units = choice_field("Units", UnitSystem.choices, "Choose the units of the record.", UNITS_HELP)
    like = forms.ModelChoiceField(
        ProcedureTest.objects.none(),
        required=False,
        label="Same coupon as",
        empty_label="No other: start empty",
        help_text="Its set-up is taken over. Readings, heats and lots, results, day and report are not.",
        error_messages={
            "invalid_choice": "Same coupon as: that record is not on file. Choose one of the list."
        },
    )

    def __init__(self, model: type[CouponRecord], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.model, shop = model, Shop.current()
        stem = WELDER if model is WelderTest else PROCEDURE
        editions = as_choices(editions_with(stem))
        self.fields["edition"].choices = [("", "Choose"), *editions] if len(editions) != 1 else editions
        self.fields["edition"].initial = default_edition(stem)
        self.fields["number"].initial = next_number(self._numbers(), FIRST_NUMBERS[model])
        self.fields["units"].initial = (
            UnitSystem.US if shop.unit_order == UnitOrder.INCH_FIRST else UnitSystem.SI
        )
        newest = model.objects.filter(
            revision=Subquery(
                model.objects.filter(number=OuterRef("number")).order_by("-revision").values("revision")[:1]
            )
        )
        self.fields["like"].queryset = newest.order_by("number")
        self.fields["like"].label_from_instance = lambda record: f"{record} {record.title}".strip()
        if (pattern := self._pattern()) is not None:
            for name in ("title", "edition", "units"):
                self.fields[name].initial = getattr(pattern, name)
        self.helper = layout_of("like", Row("number", "title"), Row("edition", "units"))

    def _pattern(self) -> CouponRecord | None:
        """The record the form was opened to repeat."""
        wanted = number_in(str(self.initial.get("like") or ""))
        return self.fields["like"].queryset.filter(pk=wanted).first()

    def clean(self) -> dict[str, Any]:
        """Bare numbers mean what they meant, so a record that repeats another keeps its units."""
        cleaned = super().clean() or self.cleaned_data
        pattern = cleaned.get("like")
        if pattern is not None and cleaned.get("units") not in (None, pattern.units):
            self.add_error(
                "units",
                f"Units: {pattern} is kept in {pattern.get_units_display()}. Choose the same, or start"
                " empty.",
            )
        return cleaned

    def record(self) -> CouponRecord:
        """The draft as asked for, not stored yet."""
        values = {name: value for name, value in self.cleaned_data.items() if name not in ("like", *OWN)}
        made, pattern = self.model(**values), self.cleaned_data.get("like")
        if pattern is not None:
            for name in TAKEN_OVER:
                setattr(made, name, deepcopy(getattr(pattern, name)))
            made.joint = _set_up(pattern.joint)
            made.lines = [_set_up(line) for line in pattern.lines]
        return made

    def _numbers(self) -> list[str]:
        return list(self.model.objects.order_by("created_at").values_list("number", flat=True))

    def clean_number(self) -> str:
        number = " ".join(self.cleaned_data["number"].split())
        taken = self.model.objects.filter(number__iexact=number).order_by("-revision").first()
        if taken is not None:
            raise ValidationError(
                f"Number {number} is taken by {taken}. Choose another, or revise that record.", code="taken"
            )
        return number


class WelderStartForm(WelderInPlace, StartForm):
    """As `StartForm`, for a welder's test: it is of one welder, who may be added here."""

    welder = WelderChoice("Choose the welder who welded the coupon.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(WelderTest, *args, **kwargs)
        self.fields["welder"].offer(None)
        added = self.add_welder_fields()
        self.initial["welder"] = self.initial.get("welder") or only_welder()
        self.helper = layout_of("welder", added, "like", Row("number", "title"), Row("edition", "units"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        self.clean_new_welder(cleaned)
        return cleaned

    def start(self, person: Person) -> CouponRecord:
        """Store the draft, and before it a welder who is named."""
        with transaction.atomic():
            self.cleaned_data["welder"] = self.save_welder(person) or self.cleaned_data["welder"]
            made = self.record()
            create_draft(made, person)
        return made


def only_welder() -> Welder | None:
    """The shop's one active welder, where there is just one."""
    found = list(Welder.objects.filter(active=True)[:2])
    return found[0] if len(found) == 1 else None


class HeadForm(WelderInPlace, forms.ModelForm):
    """The head of a draft, beside its entries."""

    title = text_field("Title", 120)
    units = choice_field("Units of bare numbers", UnitSystem.choices, "Choose the units of the record.")
    welded_on = PastDayField(label="Welding completed on")
    spec_followed = text_field("WPS followed and its revision", 60)
    laboratory = text_field("Laboratory", 120)
    report_number = text_field("Report number", 60)
    witness = text_field("Witness", 120)
    change_note = text_field(
        "What this revision changes", 300, "Say in one sentence what this revision changes."
    )
    notes = text_field("Notes", LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 3}))

    FIELDS = [
        "title",
        "units",
        "welder",
        "welded_on",
        "spec_followed",
        "laboratory",
        "report_number",
        "witness",
        "change_note",
        "notes",
    ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        present = self.instance.welder if self.instance.welder_id else None
        self.fields["welder"].offer(present)
        if not self.instance.revision:
            del self.fields["change_note"]
        change = ["change_note"] if self.instance.revision else []
        added = self.add_welder_fields(_certifies_birth(self.instance))
        self.helper = layout_of(
            Fieldset(
                "Coupon",
                Row("title", "units"),
                Row("welder", "welded_on", "spec_followed"),
                added,
                css_class="group--stacked",
            ),
            Fieldset(
                "Testing",
                Row("laboratory", "report_number", "witness"),
                "notes",
                *change,
                css_class="group--stacked",
            ),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.clean_new_welder(cleaned)
        return cleaned

    def take_on_welder(self, person: Person) -> None:
        """Store a welder who was named or completed, and put the welder on the record in hand."""
        self.instance.welder = self.save_welder(person) or self.instance.welder


def _certifies_birth(record: CouponRecord) -> bool:
    """True where the record's code states birth and identification on the welder's certificate."""
    return isinstance(record, WelderTest) and any(
        item.names[0] in ("birth", "identification") for item in coupon_items(record)
    )


class ProcedureTestForm(HeadForm):
    welder = WelderChoice()

    class Meta:
        model = ProcedureTest
        fields = HeadForm.FIELDS


class WelderTestForm(HeadForm):
    welder = WelderChoice("Choose the welder who welded the coupon.")

    class Meta:
        model = WelderTest
        fields = HeadForm.FIELDS

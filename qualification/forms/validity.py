"""Forms for what keeps a welder's qualification going: way, confirmation, prolongation, conditions of the
way."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.forms.days import DayField, PastDayField
from qualification.forms.fields import choice_field, layout_of, text_field, ticks_field
from qualification.models import ActKind, ValidityAct, WelderTest
from qualification.rules.welders.validity_tables import (
    METHODS,
    SIGNATORIES,
    RevalidationMethod,
    ValidityRules,
)

ACCEPTED = (("yes", "Accepted"), ("no", "Not accepted"))


def _choice(
    label: str, choices: Sequence[tuple[str, str]], needed: str, help_text: str = ""
) -> forms.ChoiceField:
    offered = [("", "Choose"), *choices] if len(choices) > 1 else choices
    return choice_field(label, offered, needed, help_text)


class ActForm(forms.Form):
    """What every act has: a day and somebody named. `kind` and the rest is said by each form."""

    kind: ActKind
    of_processes = True
    """Whether it speaks of single processes of the test, or of all it qualifies."""

    def __init__(
        self,
        test: WelderTest,
        rules: ValidityRules,
        way: RevalidationMethod | None,
        processes: Sequence[str],
        *args: Any,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.test, self.rules, self.way, self.processes = test, rules, way, list(processes)
        self.helper = layout_of(*self.build())

    def build(self) -> list[Any]:
        """Add fields that depend on the edition's table; return the layout."""
        raise NotImplementedError(f"{type(self).__name__} has to say what it asks")

    def _add_signatory(self, act: str) -> None:
        roles = [(key, SIGNATORIES[key]) for key in self.rules.may_sign(act)]
        self.fields["by_role"] = _choice("Signed as", roles, "Choose as what the person signed.")

    def _add_processes(self) -> list[Any]:
        """A choice of processes, where the test has several."""
        if len(self.processes) < 2:
            return []
        field = ticks_field(
            "Processes",
            [(p, p) for p in self.processes],
            "Tick the processes it speaks of.",
            initial=self.processes,
        )
        self.fields["processes"] = field
        return ["processes"]

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if self.test.welded_on and day <= self.test.welded_on:
            raise ValidationError(
                f"{self.fields['day'].label}: {day} does not lie after {self.test.welded_on}, the day the"
                " coupon was welded. Correct it.",
                code="too_early",
            )
        return day

    def act(self) -> ValidityAct:
        """The act as typed, not stored. Call it once the form is valid."""
        said = self.cleaned_data
        return ValidityAct(
            test=self.test,
            edition=self.test.edition,
            kind=self.kind,
            day=said["day"],
            by_name=said["by_name"],
            by_role=said.get("by_role", ""),
            processes=said.get("processes", self.processes) if self.of_processes else [],
            evidence=said.get("evidence", ""),
            **self.more(),
        )

    def more(self) -> dict[str, Any]:
        """What only this kind of act has."""
        return {}


class WayForm(ActForm):
    """Which of the edition's ways the certificate names."""

    kind = ActKind.WAY
    of_processes = False
    day = PastDayField(label="Stated on", needed="Enter the day on which the way was chosen.")
    by_name = text_field("Chosen by", 120, "Enter who chose the way.")

    def build(self) -> list[Any]:
        ways = [(way.key, f"{way.key}: {way.because}") for way in self.rules.ways]
        self.fields["way"] = choice_field(
            "Revalidation method",
            ways,
            "Choose the way the certificate names.",
            "As the certificate names it; it is chosen when that is issued.",
            widget=forms.RadioSelect,
        )
        return ["way", Row("day", "by_name")]

    def clean_day(self) -> date:
        """A way may be chosen before the coupon is welded."""
        return self.cleaned_data["day"]

    def more(self) -> dict[str, Any]:
        return {"way": self.cleaned_data["way"]}


class ConfirmationForm(ActForm):
    """That the welder worked inside the range of qualification."""

    kind = ActKind.CONFIRMATION
    day = PastDayField(label="Day of confirmation", needed="Enter the day on which it was confirmed.")
    by_name = text_field("Confirmed by", 120, "Enter the name of the person who confirms.")
    evidence = text_field(
        "Work seen",
        300,
        "Enter what shows the work inside the range, such as a job or weld map.",
        "Job, weld map or report that shows work inside the range since the last confirmation.",
    )

    def build(self) -> list[Any]:
        self._add_signatory("confirmation")
        return [*self._add_processes(), Row("day", "by_name", "by_role"), "evidence"]


class ProlongationForm(ActForm):
    """That welds of the last months were examined and accepted, and the period begins again."""

    kind = ActKind.PROLONGATION
    day = PastDayField(label="Day of prolongation", needed="Enter the day on which it was prolonged.")
    by_name = text_field(
        "Prolonged by",
        120,
        "Enter the name of the examiner.",
        "Person and body, as the certificate names them.",
    )
    evidence = text_field("Remark", 300, help_text="Such as where the reports are kept.")

    def build(self) -> list[Any]:
        assert self.way is not None
        self._add_signatory("prolongation")
        rows: list[Any] = []
        for number in range(1, self.way.welds + 1):
            rows.append(Fieldset(f"Weld {number}", Row(*self._add_weld(number)), css_class="group--stacked"))
        return [*self._add_processes(), Row("day", "by_name", "by_role"), *rows, "evidence"]

    def _add_weld(self, number: int) -> list[str]:
        assert self.way is not None
        methods = [(key, METHODS[key]) for key in self.way.methods]
        fields = {
            "welded_on": PastDayField(label=f"Weld {number} welded on"),
            "method": _choice(f"Weld {number} examined by", methods, ""),
            "report": text_field(f"Weld {number} report", 60),
            "accepted": _choice(f"Weld {number} result", ACCEPTED, ""),
        }
        for name, field in fields.items():
            self.fields[f"{name}_{number}"] = field
        return [f"{name}_{number}" for name in fields]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        for number in self._numbers():
            given = {
                name: said.get(f"{name}_{number}") for name in ("welded_on", "method", "report", "accepted")
            }
            if number > 1 and not any(given.values()):
                continue
            for name, value in given.items():
                key = f"{name}_{number}"
                if not value and key not in self.errors:
                    self.add_error(
                        key,
                        (
                            f"{self.fields[key].label} is missing. Enter it, or leave out the whole weld."
                            if number > 1
                            else (
                                f"{self.fields[key].label} is missing. Enter it: a prolongation rests on"
                                " examined welds."
                            )
                        ),
                    )
        return said

    def _numbers(self) -> range:
        return range(1, (self.way.welds if self.way else 0) + 1)

    def more(self) -> dict[str, Any]:
        said = self.cleaned_data
        return {
            "welds": [
                {
                    "welded_on": said[f"welded_on_{n}"].isoformat(),
                    **{name: said[f"{name}_{n}"] for name in ("method", "report", "accepted")},
                }
                for n in self._numbers()
                if said.get(f"welded_on_{n}")
            ]
        }


class ConditionsForm(ActForm):
    """Whether the conditions of a way by records are met, and the evidence."""

    kind = ActKind.CONDITIONS
    of_processes = False
    day = PastDayField(label="Stated on", needed="Enter the day on which this was seen.")
    by_name = text_field("Stated by", 120, "Enter who states it.")
    met = _choice(
        "Conditions",
        (("yes", "All are met"), ("no", "At least one is not met")),
        "Choose whether all conditions are met.",
    )
    evidence = text_field(
        "Evidence",
        300,
        "Enter what shows it.",
        "Certificate of the quality system, employment, and where accepted welds are documented.",
    )
    until = DayField(label="Evidence goes to", help_text="Last day of the certificate, where it has one.")

    def build(self) -> list[Any]:
        return ["met", Row("day", "by_name", "until"), "evidence"]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        day, until = said.get("day"), said.get("until")
        if day and until and until < day:
            self.add_error(
                "until",
                f"Evidence goes to: {until} lies before {day}, the day of the statement. Correct one of"
                " them.",
            )
        return said

    def more(self) -> dict[str, Any]:
        return {"met": self.cleaned_data["met"] == "yes", "until": self.cleaned_data["until"]}

"""One trial on the page: what is set, its passes, what came of it. The same form builder as for every
record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any
from uuid import UUID, uuid4

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, LayoutObject
from django import forms
from django.forms import BoundField
from django.template.loader import render_to_string
from django.utils.datastructures import MultiValueDict

from qualification.forms.check_links import linked_checks
from qualification.forms.coupon import WelderChoice
from qualification.forms.days import PastDayField
from qualification.forms.entries import EntriesForm
from qualification.forms.entry_layout import Folded
from qualification.forms.fields import choice_field, layout_of, text_field
from qualification.forms.record_forms import RecordForms
from qualification.lengths import too_long
from qualification.models import Purpose, Trial, TrialVerdict, UnitSystem
from qualification.rules.core.quantities import show_both
from qualification.rules.core.values import Interval
from qualification.rules.entries.reading import LONGEST_TEXT, Entry
from qualification.rules.trials.draft_advice import DraftAdvice, draft_advice
from qualification.rules.trials.pass_readings import pass_variables, read_pass
from qualification.rules.trials.practice import (
    Caution,
    NextChange,
    advice_for,
    cautions_for,
    next_changes,
)
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.trial import RESULT
from qualification.trials.store import PassEntries

CHANGED_OFTEN = (
    "wire_feed",
    "volts",
    "voltage_trim",
    "current_programme",
    "pulse_frequency",
    "slow_frequency",
    "low_level",
    "pulse_duty",
    "inductance",
    "gun",
)
"""What one turns or swaps from one trial to the next. It stands open on the page, all else is folded."""
BY_CURRENT = ("amps", "volts", "current_programme", "pulse_frequency", "pulse_duty")
"""The same for processes without a fed wire."""
OF_THE_COUPON = ("base_metal_a", "thickness_a")
"""What one knows of the coupon before anything else, first on the page; the other side is folded."""
WIRE_AND_GAS = ("filler_classification", "filler_diameter", "shielding_gas")
FED = frozenset({"GMAW", "FCAW", "SAW"})
FOLDED_RESULTS = (("Sizes on the section", "macro_"), ("Break, bend and pull tests", "quick_"))
"""Headings of results that few trials have, and how their keys begin."""
MOST_PASSES = 60
NUMBER_PAD = "decimal"


class HeadForm(forms.ModelForm):
    """What names a trial, and what was made of it."""

    title = text_field("Job or joint in mind", 160)
    purpose = choice_field(
        "Welded as", Purpose.choices, "Choose what the trial was welded as.", widget=forms.RadioSelect
    )
    welded_on = PastDayField(label="Day", needed="Enter the day of the trial.")
    welder = WelderChoice()
    units = choice_field("Units of bare numbers", UnitSystem.choices, "Choose the units.")
    verdict = choice_field(
        "Verdict", TrialVerdict.choices, "Choose a verdict; “Not decided” is one.", widget=forms.RadioSelect
    )
    note = text_field("Note", LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 2}))

    class Meta:
        model = Trial
        fields = ["title", "purpose", "welded_on", "welder", "units", "verdict", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["welder"].offer(self.instance.welder if self.instance.welder_id else None)
        self.job = layout_of("title", disable_csrf=True)
        self.names = layout_of(Div("welder", "welded_on", "purpose", "units"), disable_csrf=True)
        self.verdict_and_note = layout_of("verdict", "note", disable_csrf=True)


class FoldedAway(Folded):
    """A group that opens only where something needs a look: a copied trial states much and changes little."""

    def render(self, form: EntriesForm, context: Any, template_pack: str = "shop", **kwargs: Any) -> str:
        return render_to_string(
            self.template,
            {
                "group": self.group,
                "alone": True,
                "stated": sum(1 for key in self.fields if form.texts(key)),
                "count": len(self.fields),
                "opened": any(form[key].errors for key in self.fields),
                "fields": self.get_rendered_fields(form, context, template_pack, **kwargs),
            },
        )


class PassForm(EntriesForm):
    """One row of passes."""

    def __init__(self, number: int, token: UUID, system: str, entries: Mapping[str, Entry]) -> None:
        prefix = f"pass-{number - 1}"
        sent = {
            f"{prefix}-{key}": [entry] if isinstance(entry, str) else list(entry)
            for key, entry in entries.items()
        }
        super().__init__(pass_variables(), RecordKind.TRIAL, system, MultiValueDict(sent), prefix)
        self.number, self.token, self.system = number, token, system
        for field in self.fields.values():
            field.widget.attrs["inputmode"] = NUMBER_PAD
        self.full_clean()
        self.reading, self.problems = read_pass(entries, system)
        for problem in self.problems:
            self.add_error(problem.key, problem.message)
        for key, span in (("pass_length", self.reading.length), ("arc_time", self.reading.arc_time)):
            self.fields[key].note = self._both(span, "length") if key == "pass_length" and span else ""
            self.fields[key].is_reading = bool(self.fields[key].note)

    def _both(self, span: Interval, dimension: str) -> str:
        return show_both(span, dimension, self.system)

    @property
    def fields_shown(self) -> list[BoundField]:
        return list(self)

    @property
    def speed_words(self) -> str:
        """The travel speed, or what is missing for it."""
        travel, plain = self.reading.travel, self.reading.plain_travel
        if travel is None or plain is None:
            return ""
        return f"Travel {self._both(Interval.point(plain), 'travel_speed')}"

    @property
    def energy_words(self) -> str:
        return (
            f"Energy by the displays {self._both(self.reading.energy, 'heat_input')}"
            if self.reading.energy
            else ""
        )


class TrialForms:
    """Everything that is typed of one trial. Built from what is stored, or from a POST of the whole page."""

    def __init__(self, trial: Trial, data: MultiValueDict[str, str] | None = None) -> None:
        if data is not None:
            data = data.copy()
            data["line_count"] = "1"
            data["line-0-process"] = trial.line.get("process", "")
        self.trial, self.data = trial, data
        units = data.get("units", "") if data is not None else trial.units
        self.units = units if units in UnitSystem.values else trial.units
        self.head = HeadForm(data, instance=trial)
        self.record = RecordForms(RecordKind.TRIAL, self.units, trial.edition, trial.joint, trial.lines, data)
        self.line = self.record.lines[0].form
        self.passes = self._passes()

    def _passes(self) -> list[PassForm]:
        rows = (
            self._sent()
            if self.data is not None
            else [(each.token, each.entries) for each in self.trial.passes.all()]
        )
        return [
            PassForm(number, token, self.units, entries)
            for number, (token, entries) in enumerate([*rows, (uuid4(), {})], start=1)
        ]

    def _sent(self) -> list[tuple[UUID, dict[str, Entry]]]:
        """The passes a page sent, emptied ones of the stored among them."""
        return [
            (each.token, dict(each.entries))
            for each in sent_passes(self.data or MultiValueDict())
            if each.entries
        ]

    @property
    def machine(self) -> FormHelper:
        """Layout of what is changed from trial to trial."""
        return _helper(Div(*self._often, css_class="entries entries--trial"))

    @property
    def result(self) -> FormHelper:
        """Layout of what came of it: what is seen stands open, sizes and quick tests are folded."""
        keys = [key for key, field in self.line.fields.items() if field.variable.group == RESULT]
        groups = {
            heading: [key for key in keys if key.startswith(prefix)] for heading, prefix in FOLDED_RESULTS
        }
        away = {key for group in groups.values() for key in group}
        return _helper(
            Div(*(key for key in keys if key not in away), css_class="entries entries--trial"),
            *(FoldedAway(heading, *group, alone=True) for heading, group in groups.items()),
        )

    @property
    def settings(self) -> FormHelper:
        """Layout of the line's other entries, group by group, folded."""
        results = {key for key, field in self.line.fields.items() if field.variable.group == RESULT}
        return _folded(self.line, {*self._often, *WIRE_AND_GAS, *results})

    @property
    def coupon(self) -> FormHelper:
        """Layout of metal and thickness."""
        return self._first(self.record.joint_form, OF_THE_COUPON)

    @property
    def wire_and_gas(self) -> FormHelper:
        """Layout of wire and gas."""
        return self._first(self.line, WIRE_AND_GAS)

    @staticmethod
    def _first(form: EntriesForm, keys: Sequence[str]) -> FormHelper:
        return _helper(Div(*(key for key in keys if key in form.fields), css_class="entries entries--trial"))

    @property
    def joint(self) -> FormHelper:
        """Layout of the joint's other entries, folded."""
        return _folded(self.record.joint_form, set(OF_THE_COUPON))

    @property
    def _often(self) -> list[str]:
        process = "".join(self.line.texts("process")[:1])
        return [key for key in (CHANGED_OFTEN if process in FED else BY_CURRENT) if key in self.line.fields]

    @cached_property
    def cautions(self) -> dict[str, list[Caution]]:
        return cautions_for(self.record.read.weld)

    @cached_property
    def advice(self) -> list[Caution]:
        return advice_for(self.record.read.weld)

    @cached_property
    def starts(self) -> list[DraftAdvice]:
        """Published values to start from, for what is not set yet."""
        fields = {*self.line.fields, *self.record.joint_form.fields}
        return [each for each in draft_advice(self.record.read.weld, self.units) if each.variable in fields]

    @cached_property
    def next(self) -> list[NextChange]:
        """What to change on the next bead, by what was seen."""
        return next_changes(self.record.read.weld)

    @cached_property
    def checks(self) -> list[dict[str, Any]]:
        """Entries to check by common sense, each with its field."""
        return linked_checks(self.record)

    @property
    def problem_links(self) -> list[tuple[str, str]]:
        """Field and message of each entry that could not be read."""
        found = list(self.record.problem_links)
        return found + [
            (bound.auto_id, str(error)) for row in self.passes for bound in row for error in bound.errors
        ]

    def take_on(self) -> list[str]:
        """Put the entries as typed on the trial in hand; a sentence for each that is longer than any may be,
        in whose place stays what was there."""
        joint, line = self.record.joint_entries, self.record.line_entries[0]
        too_long = [
            *_put_back(joint, self.trial.joint, self.record.joint_form),
            *_put_back(line, self.trial.line, self.line),
        ]
        self.trial.units, self.trial.joint, self.trial.line = self.units, joint, line
        return too_long


def _put_back(typed: dict[str, Entry], stored: Mapping[str, Entry], form: EntriesForm) -> Iterator[str]:
    for key, entry in list(typed.items()):
        length = len(entry) if isinstance(entry, str) else sum(map(len, entry))
        if refusal := too_long(form.fields[key].label, length, LONGEST_TEXT):
            del typed[key]
            typed.update({key: stored[key]} if key in stored else {})
            yield refusal


def sent_passes(data: MultiValueDict[str, str]) -> list[PassEntries]:
    """The passes of a POST in their order; without entries where a stored one was emptied. One longer than
    any may be is cut; its field says that it is too long."""
    keys = [variable.key for variable in pass_variables()]
    found = []
    for index in range(MOST_PASSES):
        token = data.get(f"pass-{index}-token", "")
        if not token:
            continue
        typed = {key: data.get(f"pass-{index}-{key}", "").strip()[:LONGEST_TEXT] for key in keys}
        try:
            found.append(PassEntries(UUID(token), {key: text for key, text in typed.items() if text}))
        except ValueError:
            continue
    return found


def _folded(form: EntriesForm, others: set[str]) -> FormHelper:
    groups: dict[str, list[str]] = {}
    for key, field in form.fields.items():
        if key not in others:
            groups.setdefault(field.variable.group, []).append(key)
    return _helper(*(FoldedAway(heading, *keys, alone=True) for heading, keys in groups.items()))


def _helper(*layout: LayoutObject | str) -> FormHelper:
    return layout_of(*layout, disable_csrf=True, field_template="entries/field.html")

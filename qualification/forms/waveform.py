"""The forms of a waveform file: choosing it, and settling what was recognised in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from qualification.forms.fields import choice_field
from qualification.models import Trial, TrialLog, TrialPass
from qualification.rules.arithmetic.engineering import engineering
from qualification.rules.waveform.columns import CLOCK, CURRENT, QUANTITIES, TIME, UNITS, VOLTAGE
from qualification.rules.waveform.layout import Layout
from qualification.waveforms.logs import MOST_BYTES

NONE = "none"
LABELS = {"time": "Time", "voltage": "Voltage", "current": "Current", "power": "Power"}
CLAMP_UNITS = ("mV", "V")
"""What a clamp or shunt puts out instead of amperes; its scale then says how many amperes stand for one."""


UNIT_WORDS = {"d": "days", CLOCK: "time of day (h:m:s)"}


class ReplaceForm(forms.Form):
    """A file."""

    file = forms.FileField(
        label="Waveform file",
        help_text="CSV or text from a scope or logger, one reading to a line, up to 1 GB.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.dat,text/*"}),
        error_messages={
            "required": "Waveform file: none was chosen. Choose the CSV of the scope or logger.",
            "empty": "Waveform file is empty. Export it again.",
            "max_length": "Waveform file has a name of %(length)d characters. Rename it to %(max)d or fewer.",
        },
    )

    def clean_file(self) -> UploadedFile:
        upload = self.cleaned_data["file"]
        if upload.size > MOST_BYTES:
            raise forms.ValidationError(
                f"Waveform file is {upload.size / 1e9:.1f} GB. Choose a file of 1 GB or less, "
                "or cut it to the weld.",
                code="too_large",
            )
        return upload


class WaveformForm(ReplaceForm):
    """A file, and the pass it was recorded on."""

    weld_pass = forms.ModelChoiceField(
        TrialPass.objects.none(),
        label="Recorded on pass",
        required=False,
        empty_label="Not one pass alone",
        help_text="The pass's length turns energy into energy per length.",
        error_messages={
            "invalid_choice": "Recorded on pass is not one of this trial. Choose one of those listed."
        },
    )

    def __init__(self, trial: Trial, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["weld_pass"].queryset = trial.passes.all()
        self.fields["weld_pass"].label_from_instance = lambda each: f"Pass {each.position}"


class ColumnsForm(forms.Form):
    """What each column holds, in which unit, and how fast it was sampled: proposed, to be confirmed or
    corrected."""

    def __init__(
        self, layout: Layout, log: TrialLog, names: Mapping[int, str], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.layout = layout
        columns = [(str(i), f"{i + 1}: {names.get(i) or 'no name'}") for i in range(layout.width)]
        for quantity in QUANTITIES:
            self._add_column(quantity, columns)
        self._add_scales()
        self._add_instrument(log)

    def _add_column(self, quantity: str, columns: list[tuple[str, str]]) -> None:
        found = self.layout.column(quantity)
        label, units = LABELS[quantity], list(UNITS[quantity])
        if quantity == CURRENT:
            units += [unit for unit in CLAMP_UNITS if unit not in units]
        self.fields[quantity] = choice_field(
            f"{label}: column",
            [(NONE, "None"), *columns],
            f"{label}: choose its column, or “None”.",
            unknown=f"{label}: there is no column “%(value)s”. Choose one of those listed.",
            initial=NONE if found is None else str(found.index),
        )
        self.fields[f"{quantity}_unit"] = choice_field(
            f"{label}: unit",
            [(unit, UNIT_WORDS.get(unit, unit)) for unit in units],
            f"{label}: choose its unit.",
            unknown=f"{label}: there is no unit “%(value)s”. Choose one of those listed.",
            initial=found.unit if found else units[0],
        )

    def _add_scales(self) -> None:
        for quantity, key, label, help_text in (
            (
                CURRENT,
                "scale",
                "Amperes for one unit of the current column",
                "1 for a column in amperes; for a clamp or shunt what stands for one millivolt or volt.",
            ),
            (
                VOLTAGE,
                "voltage_scale",
                "Volts for one unit of the voltage column",
                "1 as a rule; 10 where a 10:1 probe is not reckoned in.",
            ),
        ):
            found = self.layout.column(quantity)
            self.fields[key] = _positive(label, found.scale if found else 1.0, help_text)
        self.fields["rate"] = _positive(
            "Readings per second",
            self.layout.rate,
            "Read from the time column where there is one.",
            required=False,
        )

    def _add_instrument(self, log: TrialLog) -> None:
        instrument = log.settings.get("instrument") or [None, None]
        for key, label, initial in (
            ("volts_percent", "Voltage may be off by", instrument[0]),
            ("amps_percent", "Current may be off by", instrument[1]),
        ):
            self.fields[key] = _positive(
                f"{label}, % of reading",
                initial,
                "As the instrument's maker states it; without it "
                f"{100 * engineering().threshold('instrument_off'):g} % is taken.",
                required=False,
            )

        self.fields["recorder"] = forms.CharField(
            label="Recorded with",
            required=False,
            max_length=80,
            initial=log.settings.get("recorder", ""),
            help_text="Name or serial number of clamp, probe and recorder. The error of one instrument is "
            "the same in all its logs, so it does not hide a difference between them.",
            error_messages={"max_length": "Recorded with: enter 80 characters or fewer."},
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        chosen: dict[str, str] = {}
        for quantity in QUANTITIES:
            column = cleaned.get(quantity, NONE)
            if column != NONE and column in chosen.values():
                other = next(LABELS[q] for q, c in chosen.items() if c == column)
                self.add_error(
                    quantity,
                    f"{LABELS[quantity]} and {other} both name column {int(column) + 1}. "
                    "Give each a column of its own.",
                )
            chosen[quantity] = column
        if (cleaned.get("volts_percent") is None) != (cleaned.get("amps_percent") is None):
            self.add_error("volts_percent", "State how far off both voltage and current may be, or neither.")
        return cleaned

    def settled(self) -> dict[str, Any]:
        """What is kept with the log."""
        data, scales = self.cleaned_data, {CURRENT: "scale", VOLTAGE: "voltage_scale"}
        columns = {
            q: [int(data[q]), data[f"{q}_unit"], data[scales[q]] if q in scales else 1.0]
            for q in QUANTITIES
            if data[q] != NONE
        }
        instrument = None if data["volts_percent"] is None else [data["volts_percent"], data["amps_percent"]]
        return {
            "columns": columns,
            "rate": None if TIME in columns else data["rate"],
            "instrument": instrument,
            "recorder": " ".join(data["recorder"].split()),
        }


def _positive(label: str, initial: float | None, help_text: str, required: bool = True) -> forms.FloatField:
    return forms.FloatField(
        label=label,
        initial=None if initial is None else f"{initial:.8g}",
        required=required,
        help_text=help_text,
        min_value=1e-12,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": f"{label}: enter a number above zero.",
            "invalid": f"{label}: enter a plain number above zero, such as 1.5.",
            # Django fills this sentence in, so that a percent sign of the label has to be written twice.
            "min_value": f"{label.replace('%', '%%')}: enter a number above zero.",
        },
    )

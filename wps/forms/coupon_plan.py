"""Forms of a coupon plan: who welds each coupon, and what coupons cost the shop."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Protocol

from crispy_forms.layout import Fieldset, Row
from django import forms

from qualification.forms.fields import layout_of
from qualification.models import Welder
from qualification.rules.core.units import US
from qualification.rules.plan.costs import Rates
from qualification.rules.plan.rates_written import LONGEST, MEASURES, RateError, rate_in, read_rate
from wps.models import CouponCosts

LABELS = {
    "hour": "Hour of work",
    "setup_hours": "Set-up hours for a coupon",
    "position_hours": "Further hours for each position",
    "kg_per_hour": "Weld metal laid in an hour (kg)",
    "day_hours": "Hours of a working day",
    "lab_days": "Working days to the results",
    "aluminum_kg": "Aluminum plate (per kg)",
    "steel_kg": "Steel plate (per kg)",
    "pipe_factor": "Pipe to plate of the same mass (times)",
    "filler_kg": "Filler metal (per kg)",
    "gas_m3": "Shielding gas (per m³)",
    "spool_kg": "Wire on a spool (kg)",
    "pack_kg": "Electrodes or rods in a pack (kg)",
    "run_mm": "Weld between two starts (mm)",
    "flow_seconds": "Gas before and after each run (s)",
    "stub_mm": "Stub of an electrode (mm)",
    "operating_percent": "Arc time in working time (%; 0 = tabled)",
    "witness": "Witness for a coupon",
    "tension": "Tension test",
    "bend": "Bend test",
    "macro": "Macro section",
    "fracture": "Fracture test",
    "visual": "Visual examination",
    "radiograph": "Radiograph",
    "ultrasonic": "Ultrasonic examination",
    "impact": "Impact specimen",
    "penetrant": "Penetrant examination",
    "magnetic": "Magnetic particle examination",
    "hardness": "Hardness test",
}
ABOVE_ZERO = frozenset({"kg_per_hour", "day_hours", "pipe_factor", "spool_kg", "pack_kg", "run_mm"})
AT_MOST = {"stub_mm": Decimal(300), "operating_percent": Decimal(100)}
MOST = Decimal(100_000)


class Planned(Protocol):
    """A coupon of a plan, as far as its form has to know it."""

    @property
    def key(self) -> str: ...

    @property
    def number(self) -> int: ...

    @property
    def needs_welder(self) -> bool: ...


class RateField(forms.CharField):
    """One rate as the shop writes it; its value is what was typed."""

    def __init__(self, name: str, least: Decimal, most: Decimal, wrong: str, **kwargs: Any) -> None:
        measure = MEASURES.get(name)
        other = ""
        if measure:
            amount, unit = rate_in(name, getattr(Rates(), name), US)
            other = f"{amount.normalize():f}{'/' if measure.is_price else ' '}{unit}"
        super().__init__(
            error_messages=dict.fromkeys(("required", "wrong"), wrong),
            help_text=f"Or with its unit: {other}." if measure else "",
            # Behind a number stands a unit, which the digits of a phone's keyboard lack.
            widget=forms.TextInput(
                attrs={"inputmode": "text" if measure else "decimal", "maxlength": str(LONGEST)}
            ),
            **kwargs,
        )
        self.name, self.least, self.most = name, least, most

    def clean(self, value: Any) -> str:
        typed: str = super().clean(value)
        try:
            is_right = self.least <= read_rate(self.name, typed) <= self.most
        except RateError:
            is_right = False
        if not is_right:
            raise forms.ValidationError(self.error_messages["wrong"], code="wrong")
        return typed


class CouponCostsForm(forms.Form):
    """The shop's own rates."""

    def __init__(self, *args: Any, costs: CouponCosts, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in Rates.names():
            label, least = LABELS[name], Decimal("0.01") if name in ABOVE_ZERO else Decimal(0)
            most = AT_MOST.get(name, MOST)
            wrong = f"{label}: enter a number from {least} to {most:,}, such as {getattr(Rates(), name)}."
            self.fields[name] = RateField(name, least, most, wrong, label=label, initial=costs.written(name))
        names = list(Rates.names())
        first = names.index("tension")
        self.helper = layout_of(
            Fieldset("Work and metal", *(Row(*names[n : min(n + 2, first)]) for n in range(0, first, 2))),
            Fieldset(
                "One specimen or examination, cut and machined",
                *(Row(*names[n : n + 2]) for n in range(first, len(names), 2)),
            ),
            disable_csrf=True,
        )


class DraftsForm(forms.Form):
    """Who welds each coupon of a plan."""

    def __init__(self, *args: Any, coupons: Sequence[Planned], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for each in coupons:
            self.fields[each.key] = forms.ModelChoiceField(
                Welder.objects.filter(active=True),
                label=f"Welder of coupon {each.number}",
                required=each.needs_welder,
                empty_label="Choose a welder",
                error_messages={
                    "required": f"Welder of coupon {each.number}: choose who welds it; such a test belongs"
                    " to one welder.",
                    "invalid_choice": f"Welder of coupon {each.number}: choose an active welder.",
                },
            )
        self.helper = layout_of(layout=None, disable_csrf=True)

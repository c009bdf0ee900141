"""Forms of a coupon plan: who welds each coupon, and what coupons cost the shop."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Protocol

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row
from django import forms

from qualification.models import Welder
from qualification.rules.plan.costs import Rates

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

    key: str
    number: int
    needs_welder: bool


class CouponCostsForm(forms.Form):
    """The shop's own rates."""

    def __init__(self, *args: Any, rates: Rates, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in Rates.names():
            label, least = LABELS[name], Decimal("0.01") if name in ABOVE_ZERO else Decimal(0)
            most = AT_MOST.get(name, MOST)
            wrong = f"{label}: enter a number from {least} to {most:,}, such as {getattr(Rates(), name)}."
            self.fields[name] = forms.DecimalField(
                label=label,
                initial=getattr(rates, name),
                min_value=least,
                max_value=most,
                decimal_places=2,
                error_messages=dict.fromkeys(
                    ("required", "invalid", "min_value", "max_value", "max_decimal_places"), wrong
                ),
                widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            )
        names = list(Rates.names())
        first = names.index("tension")
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(
            Fieldset("Work and metal", *(Row(*names[n : min(n + 2, first)]) for n in range(0, first, 2))),
            Fieldset(
                "One specimen or examination, cut and machined",
                *(Row(*names[n : n + 2]) for n in range(first, len(names), 2)),
            ),
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
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

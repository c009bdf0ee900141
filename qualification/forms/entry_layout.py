"""How the fields of a level are laid out: a fieldset per group, seldom-used fields folded away below it."""

from __future__ import annotations

from typing import Any, Protocol

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Div, Fieldset, LayoutObject
from django.forms import BoundField
from django.template.loader import render_to_string
from django.urls import reverse

from qualification.forms.fields import layout_of
from qualification.help.subjects import subject_of_group
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.metal_systems import SYSTEMS
from qualification.rules.variables.paper import LONG
from qualification.rules.variables.paper import SELDOM as SELDOM_ON_PAPER
from qualification.rules.variables.weld_face import SELDOM as SELDOM_OF_THE_FACE

SELDOM = frozenset(
    {
        *(key for system in SYSTEMS.values() for key in system.variables),
        *SELDOM_ON_PAPER,
        *SELDOM_OF_THE_FACE,
        "filler_group",
        "iso_filler",
        "retainer",
        "preheat_maintenance",
        "solution_annealed",
        "f_number",
        "consumable_insert",
        "supplemental_filler",
        "supplemental_ratio",
        "supplemental_alloying",
        "supplemental_material",
        "penetration_flux",
        "recrushed_slag",
        "backing_flow",
        "trailing_gas",
        "trailing_flow",
        "waveform_controlled",
        "voltage_trim",
        "inductance",
        "oscillation",
        "electrodes",
        "electrode_spacing",
        "closed_chamber",
        "thermal_preparation",
        "settings_by_size",
    }
)
"""Fields most records leave blank. They are folded away, never left out."""

LONG_TEXTS = frozenset(
    {
        "joint_preparation",
        "preheat_maintenance",
        "cleaning",
        "oscillation",
        "supplemental_material",
        *LONG,
    }
)
"""Free text that runs longer than a name."""

OFTEN_ON_PART = frozenset(
    {
        "weld_type",
        "joint_form",
        "fillet_size",
        "base_metal_a",
        "temper_a",
        "base_metal_b",
        "temper_b",
        "thickness_a",
        "thickness_b",
        "product_form",
        "diameter",
        "position",
        "pipe_setting",
        "toughness_required",
        "process",
        "operation",
        "part_of_joint",
        "backing",
        "transfer_mode",
        "filler_classification",
        "filler_used",
        "deposit_thickness",
        "progression",
        "shielding_gas",
        "current_type",
    }
)
"""A drawing says these of a weld; a part's other fields are folded away."""

SELDOM_ON_WELDER_TEST = SELDOM | {
    "shielding_flow",
    "amps",
    "volts",
    "wire_feed",
    "pulse_frequency",
    "slow_frequency",
    "low_level",
    "pulse_duty",
}


def is_seldom(key: str, use: RecordKind) -> bool:
    """True where most records of this kind leave the field blank."""
    if use is RecordKind.PART:
        return key not in OFTEN_ON_PART
    return key in (SELDOM_ON_WELDER_TEST if use is RecordKind.WELDER_TEST else SELDOM)


class Level(Protocol):
    """What is laid out: a form whose fields are variables (`EntriesForm`)."""

    fields: dict[str, Any]

    def __getitem__(self, key: str) -> BoundField: ...

    def texts(self, key: str) -> list[str]: ...


class Folded(LayoutObject):
    """Fields behind a `<details>`, open while one of them says something or is asked for."""

    template = "entries/folded.html"

    def __init__(self, group: str, *fields: str, alone: bool) -> None:
        self.group, self.fields, self.alone = group, list(fields), alone

    def render(self, form: Level, context: Any, template_pack: str = "shop", **kwargs: Any) -> str:
        stated = sum(1 for key in self.fields if form.texts(key))
        opened = stated or any(form[key].errors or form.fields[key].wanted for key in self.fields)
        return render_to_string(
            self.template,
            {
                "group": self.group,
                "alone": self.alone,
                "stated": stated,
                "count": len(self.fields),
                "opened": opened,
                "fields": self.get_rendered_fields(form, context, template_pack, **kwargs),
            },
        )


class HelpLink(LayoutObject):
    """The way from a group of fields to its page of the help."""

    def __init__(self, group: str) -> None:
        self.group = group
        self.fields: list[str] = []

    def render(self, form: Level, context: Any, template_pack: str = "shop", **kwargs: Any) -> str:
        subject = subject_of_group(self.group)
        if not subject:
            return ""
        address = reverse("help_subject", args=[subject])
        return render_to_string("entries/help_link.html", {"group": self.group, "url": address})


def layout_helper(form: Level, use: RecordKind) -> FormHelper:
    """The helper that lays out all fields of `form`, group by group in the order of the registry."""
    groups: dict[str, tuple[list[str], list[str]]] = {}
    for key, field in form.fields.items():
        often, seldom = groups.setdefault(field.variable.group, ([], []))
        (seldom if is_seldom(key, use) else often).append(key)
    return layout_of(
        *(_group(heading, often, seldom) for heading, (often, seldom) in groups.items()),
        disable_csrf=True,
        field_template="entries/field.html",
    )


def _group(heading: str, often: list[str], seldom: list[str]) -> LayoutObject:
    if not often:
        return Folded(heading, *seldom, alone=True)
    folded = [Folded(heading, *seldom, alone=False)] if seldom else []
    return Fieldset(
        heading, HelpLink(heading), Div(*often, css_class="entries"), *folded, css_class="group--entries"
    )

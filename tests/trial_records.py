"""Trials of the invented shop for the tests."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib.auth.models import User

from qualification.models import Trial, TrialPass
from qualification.records.audit import name_of
from tests.shop_records import EDITION

JOINT: dict[str, Any] = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "base_metal_a": "6061-T6",
    "temper_a": "T6",
    "base_metal_b": "same",
    "thickness_a": "1/4",
    "thickness_b": "same",
    "product_form": "plate",
    "test_position": "3G",
    "preparation_1": "solvent",
    "preparation_2": "dried",
    "preparation_3": "brushed",
    "since_cleaning": "20",
}
LINE: dict[str, Any] = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "transfer_mode": "pulsed_spray",
    "current_programme": "double_pulsed",
    "pulse_frequency": "120",
    "slow_frequency": "1.6",
    "low_level": "50",
    "filler_classification": "ER5356",
    "filler_diameter": "3/64",
    "shielding_gas": "100Ar",
    "shielding_flow": "35",
    "wire_feed": "430",
    "voltage_trim": "2",
    "gun": "spool",
    "contact_tip": "1.4 mm",
}
PASS: dict[str, str] = {"pass_length": "6", "arc_time": "18 s", "amps": "150-158", "volts": "21.5"}


def trial(author: User, number: str = "T-001", passes: int = 0, **changes: Any) -> Trial:
    """A double-pulsed aluminium trial; `joint` and `line` change single entries."""
    joint, line = {**JOINT, **changes.pop("joint", {})}, {**LINE, **changes.pop("line", {})}
    made = Trial(
        **{
            "number": number,
            "title": "Gangway deck",
            "edition": EDITION,
            "units": "us",
            "joint": joint,
            "line": line,
            "author": author,
            "author_name": name_of(author),
            **changes,
        }
    )
    made.save()
    for position in range(1, passes + 1):
        weld_pass(made, position)
    return made


def weld_pass(of: Trial, position: int = 1, **entries: str) -> TrialPass:
    return TrialPass.objects.create(trial=of, token=uuid4(), position=position, entries={**PASS, **entries})

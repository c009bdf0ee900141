"""Records of the invented shop for the tests: passed tests, and procedures that rest on them."""

from __future__ import annotations

from copy import deepcopy
from datetime import date
from typing import Any

from django.contrib.auth.models import User

from qualification.models import ProcedureTest, State, Welder, WelderTest
from qualification.models.record import content_hash
from qualification.records import workflow
from qualification.records.approving import frozen_content
from qualification.records.audit import name_of, record_event
from qualification.records.unchanged import AFTER_APPROVAL
from wps.models import Job, Part, Spec

EDITION = "asme_ix_2023"

COUPON_JOINT: dict[str, Any] = {
    "weld_type": "groove",
    "joint_form": "butt",
    "groove_type": "v",
    "groove_angle": "60",
    "root_opening": "1/16",
    "root_face": "1/16",
    "sides_welded": "one",
    "back_gouging": "none",
    "retainer": "none",
    "penetration": "complete",
    "base_metal_a": "6061",
    "temper_a": "T6",
    "base_metal_b": "same",
    "temper_b": "T6",
    "thickness_a": "1/4",
    "thickness_b": "same",
    "product_form": "plate",
    "diameter": "n/a",
    "test_position": "3G",
    "impact_tested": "no",
    "preheat_min": "60 °F",
    "interpass_max": "150 °F",
    "preheat_maintenance": "none",
    "pwht": "none",
}
COUPON_LINE: dict[str, Any] = {
    "process": "GMAW",
    "operation": "semiautomatic",
    "part_of_joint": "whole",
    "backing": "none",
    "transfer_mode": "pulsed_spray",
    "current_programme": "pulsed",
    "pulse_frequency": "120",
    "filler_specification": "SFA-5.10",
    "filler_classification": "ER5356",
    "filler_diameter": "3/64",
    "filler_form": "solid",
    "supplemental_filler": "no",
    "deposit_thickness": "1/4",
    "max_pass_thickness": "1/8",
    "layers": "3",
    "shielding_gas": "100Ar",
    "shielding_flow": "35 cfh",
    "backing_gas": "none",
    "trailing_gas": "none",
    "cup_size": "5/8",
    "current_type": "DCEP",
    "waveform_controlled": "yes",
    "amps": "150-165",
    "volts": "21-22.5",
    "wire_feed": "420-440 ipm",
    "travel_speed": "20-24 ipm",
    "progression": "up",
    "bead": "stringer",
    "cleaning": "Stainless brush after acetone",
    "gun": "push_pull",
    "contact_tube_distance": "5/8",
    "passes_per_side": "multiple",
    "electrodes": "single",
    "peening": "no",
    "a_number": "n/a",
}
TENSION = {"kind": "tension", "width": "3/4", "thickness": "1/4", "load": "5600 lbf", "broke": "base_metal"}
BEND = {"thickness": "1/8", "former": "2 1/16", "weld_in_bend": "yes", "broken": "no", "openings": "none"}
RESULTS: list[dict[str, str]] = [
    {**TENSION, "specimen": "T1"},
    {**TENSION, "specimen": "T2", "load": "5650 lbf"},
    {"kind": "face_bend", "specimen": "F1", **BEND},
    {"kind": "face_bend", "specimen": "F2", **BEND},
    {"kind": "root_bend", "specimen": "R1", **BEND},
    {"kind": "root_bend", "specimen": "R2", **BEND},
    {
        "kind": "visual",
        "specimen": "V1",
        "cracks": "no",
        "complete_fusion": "yes",
        "complete_penetration": "yes",
    },
]
SPEC_JOINT: dict[str, Any] = {
    **{key: value for key, value in COUPON_JOINT.items() if key not in ("test_position", "impact_tested")},
    "thickness_a": "1/8-1/2",
    "position": ["flat", "horizontal", "vertical", "overhead"],
    "toughness_required": "no",
    "root_opening": "1/16-1/8",
    "groove_angle": "60-75",
}
SPEC_LINE: dict[str, Any] = {
    **{key: value for key, value in COUPON_LINE.items() if key != "layers"},
    "deposit_thickness": "1/8-1/2",
    "amps": "120-180",
    "volts": "20-24",
}


def welder(stamp: str = "AB", name: str = "Anouk Berglund") -> Welder:
    person = {"born_on": date(1991, 2, 17), "born_at": "Port Ellery", "identified_by": "Identity card"}
    made, _ = Welder.objects.get_or_create(stamp=stamp, defaults={"name": name, **person})
    return made


def procedure_test(
    author: User, number: str = "PT-014", state: str = State.APPROVED, **changes: Any
) -> ProcedureTest:
    """A passed aluminium GMAW pulsed groove coupon; `joint` and `line` change single entries."""
    return _coupon(ProcedureTest, author, number, state, changes)


def welder_test(
    author: User, who: Welder, number: str = "WT-021", state: str = State.APPROVED, **changes: Any
) -> WelderTest:
    """The same coupon as one welder's test."""
    return _coupon(WelderTest, author, number, state, {"welder": who, **changes})


def _coupon(model: type, author: User, number: str, state: str, changes: dict[str, Any]) -> Any:
    joint, line = {**COUPON_JOINT, **changes.pop("joint", {})}, {**COUPON_LINE, **changes.pop("line", {})}
    if model is WelderTest:
        joint = _only(joint, "welder test")
        line = _only(line, "welder test")
        changes = {"results": [deepcopy(each) for each in RESULTS if each["kind"] != "tension"], **changes}
    changes.setdefault("welder", None)
    changes["welder"] = changes["welder"] or welder()
    made = model(
        **{
            "number": number,
            "title": "Gangway deck coupon",
            "edition": EDITION,
            "units": "us",
            "joint": joint,
            "lines": [line],
            "author": author,
            "author_name": name_of(author),
            "welded_on": date(2031, 3, 4),
            "laboratory": "Harbour Test House",
            "report_number": "HT-2231",
            "spec_followed": "W-100 rev 0",
            "results": deepcopy(RESULTS),
            **changes,
        }
    )
    made.save()
    if state != State.DRAFT:
        _settle(made, state)
    return made


def _only(entries: dict[str, Any], use: str) -> dict[str, Any]:
    from qualification.rules.variables.definition import RecordKind
    from qualification.rules.variables.registry import registry

    return {key: value for key, value in entries.items() if RecordKind(use) in registry()[key].uses}


def _settle(record: Any, state: str) -> None:
    """Put a record into a state without walking it there; what walking does has tests of its own."""
    if state in AFTER_APPROVAL:
        record.snapshot = frozen_content(record)
        record.snapshot_hash = content_hash(record.snapshot)
    record.state = state
    record.save()
    if state in AFTER_APPROVAL:
        record_event("approve", record, record.author, {"snapshot": record.snapshot_hash})


def as_if_approved_with(record: Any, **changes: Any) -> None:
    """Make an approved record one that had been approved with these entries; a record that is only changed in
    the database is found out and qualifies nothing."""
    for name, value in changes.items():
        setattr(record, name, value)
    snapshot = frozen_content(record)
    made = {"snapshot": snapshot, "snapshot_hash": content_hash(snapshot)}
    type(record).objects.filter(pk=record.pk).update(**changes, **made)
    record.refresh_from_db()
    record_event("approve", record, record.author, {"snapshot": record.snapshot_hash})


def spec(
    author: User, *tests: ProcedureTest, number: str = "W-101", state: str = State.DRAFT, **changes: Any
) -> Spec:
    """A procedure for the same work, claiming 1/8 to 1/2 in; `joint` and `line` change single entries."""
    joint, line = {**SPEC_JOINT, **changes.pop("joint", {})}, {**SPEC_LINE, **changes.pop("line", {})}
    made = Spec(
        **{
            "number": number,
            "title": "Gangway deck, pulsed",
            "edition": EDITION,
            "units": "us",
            "joint": joint,
            "lines": [line],
            "author": author,
            "author_name": name_of(author),
            **changes,
        }
    )
    made.save()
    made.tests.set(tests)
    if state != State.DRAFT:
        _settle(made, state)
    return made


def approve(record: Any, author: User, approver: User) -> None:
    """Walk a record through review to approval."""
    workflow.apply("submit", record, author)
    workflow.apply("approve", record, approver)


def job(number: str = "J-3107", **changes: Any) -> Job:
    made = Job(
        **{
            "number": number,
            "title": "Harbour gangway",
            "customer": "Port Ellery",
            "edition": EDITION,
            **changes,
        }
    )
    made.save()
    return made


def part(of: Job, mark: str = "G-12", **changes: Any) -> Part:
    """A weld the procedure covers."""
    joint = {
        "weld_type": "groove",
        "base_metal_a": "6061",
        "temper_a": "T6",
        "base_metal_b": "same",
        "thickness_a": "1/4",
        "thickness_b": "same",
        "product_form": "plate",
        "diameter": "n/a",
        "position": "vertical",
        "toughness_required": "no",
        "pwht": "none",
        **changes.pop("joint", {}),
    }
    line = {
        "process": "GMAW",
        "operation": "semiautomatic",
        "backing": "none",
        "transfer_mode": "pulsed_spray",
        "filler_classification": "ER5356",
        "filler_form": "solid",
        "deposit_thickness": "1/4",
        "progression": "up",
        **changes.pop("line", {}),
    }
    made = Part(
        **{
            "job": of,
            "mark": mark,
            "title": "Deck plate to stringer",
            "joint": joint,
            "lines": [line],
            **changes,
        }
    )
    made.save()
    return made

"""Welder tests by ISO 9606 of the invented shop, and the acts that keep them."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import ActKind, ValidityAct, WelderTest
from qualification.welders.continuity import standings_of
from tests.shop_records import welder, welder_test

ALUMINIUM, STEEL = "iso_9606_2_2004", "iso_9606_1_2012"
RESULTS = [
    {
        "kind": "visual",
        "specimen": "V1",
        "cracks": "no",
        "complete_fusion": "yes",
        "complete_penetration": "yes",
    },
    {"kind": "fracture", "specimen": "F1", "bent_flat": "no", "cracks": "no", "incomplete_root_fusion": "no"},
]
WELDED = date(2031, 3, 4)
WELD = {"welded_on": "2033-02-10", "method": "radiographic", "report": "HT-3301", "accepted": "yes"}


def made(author: User, edition: str = ALUMINIUM, **changes: Any) -> WelderTest:
    joint = {"thickness_a": "6 mm", "job_knowledge": "not_tested", **changes.pop("joint", {})}
    line = {
        "deposit_thickness": "6 mm",
        "backing_gas": "none",
        "filler_diameter": "1.2 mm",
        **changes.pop("line", {}),
    }
    if edition == STEEL:
        joint |= {"base_metal_a": "SA-36", "temper_a": "", "temper_b": ""}
        line |= {
            "filler_specification": "SFA-5.18",
            "filler_classification": "ER70S-6",
            "shielding_gas": "82Ar/18CO2",
            "transfer_mode": "spray",
        }
    changes.setdefault("witness", "R. Halloran")
    return welder_test(
        author,
        welder(),
        **{"edition": edition, "units": "si", "results": RESULTS, "joint": joint, "line": line, **changes},
    )


def confirmed(record: WelderTest, *days: str) -> None:
    for day in days:
        ValidityAct(
            test=record,
            edition=record.edition,
            kind=ActKind.CONFIRMATION,
            day=date.fromisoformat(day),
            by_name="Tobias Rehn",
            by_role="coordinator",
            processes=["GMAW"],
            evidence="J-1",
            recorded_by_name="Tobias Rehn",
        ).save()


TWO_YEARS = ("2031-09-04", "2032-03-04", "2032-09-04", "2033-03-04")
THREE_YEARS = (*TWO_YEARS, "2033-09-04", "2034-03-04")


def chosen(record: WelderTest, way: str) -> None:
    ValidityAct(
        test=record,
        edition=record.edition,
        kind=ActKind.WAY,
        day=WELDED,
        by_name="Tobias Rehn",
        way=way,
        recorded_by_name="Tobias Rehn",
    ).save()


CONFIRM = {
    "day": "2031-09-04",
    "by_name": "Tobias Rehn",
    "by_role": "coordinator",
    "evidence": "Job J-3107, weld map 2",
}
PROLONG = {
    "day": "2033-03-04",
    "by_name": "Ida Brandt, Harbour Test House",
    "by_role": "examiner",
    "evidence": "",
    **{f"{key}_1": value for key, value in WELD.items()},
    **{f"{key}_2": value for key, value in {**WELD, "report": "HT-3302"}.items()},
}


def words(record: WelderTest, on: date) -> str:
    (standing,) = standings_of(record.welder, on)
    return standing.words


def put(client: Client, record: WelderTest, what: str, said: dict[str, str], **change: str) -> Any:
    return client.post(reverse(f"validity_{what}", args=[record.pk]), {**said, **change}, follow=True)

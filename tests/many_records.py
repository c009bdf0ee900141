"""Hundreds of records of the demo shop, each like an approved one, for pages that have to stay short."""

from __future__ import annotations

from copy import copy
from datetime import timedelta
from typing import Any, TypeVar

from django.utils import timezone

from qualification.models import ProcedureTest, Record, Welder, WelderTest
from qualification.models.record import content_hash
from qualification.records.audit import Event, append_all
from wps.models import Spec

OfAKind = TypeVar("OfAKind", bound=Record)


def add_many(records: int, tests_of_one: int) -> Welder:
    """So many procedures and procedure tests, and one welder with so many tests; the welder."""
    _store([_like(Spec.objects.get(number="AL-01"), f"AL-9{n:03}") for n in range(records)])
    coupon = ProcedureTest.objects.get(number="PT-001")
    _store([_like(coupon, f"PT-9{n:03}", joint=_thicker(coupon, n)) for n in range(records)])
    welder = Welder.objects.create(stamp="MT", name="Many Tests")
    passed = WelderTest.objects.get(number="WT-011")
    today = timezone.localdate()
    _store(
        [
            _like(
                passed,
                f"WT-9{n:03}",
                welder=welder,
                welded_on=today - timedelta(days=12 * n),
                joint=_thicker(passed, n),
            )
            for n in range(tests_of_one)
        ]
    )
    return welder


def _thicker(like: Any, n: int) -> dict[str, Any]:
    """The joint in another plate, no two of a hundred alike."""
    return {**like.joint, "thickness_a": f"{0.38 + n % 97 / 2000:.4f} in"}


def _like(like: OfAKind, number: str, **changes: Any) -> OfAKind:
    made = copy(like)
    made._state = copy(like._state)
    made._state.adding, made.pk, made.number = True, None, number
    for name, value in changes.items():
        setattr(made, name, value)
    said = {**(like.snapshot or {}), **made.content()}
    if isinstance(made, WelderTest):
        said |= {"welder_name": made.welder.name, "welder_stamp": made.welder.stamp}
    made.snapshot, made.snapshot_hash = said, content_hash(said)
    return made


def _store(records: list[Any]) -> None:
    type(records[0])._default_manager.bulk_create(records)
    append_all(
        [
            Event("approve", each.KIND, each.pk, str(each), {"snapshot": each.snapshot_hash})
            for each in records
        ],
        "Nobody",
    )

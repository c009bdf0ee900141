"""Confirmations and prolongations in the invented demo shop, recorded as a real shop's are."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.contrib.auth.models import User

from qualification.models import ValidityAct, WelderTest
from qualification.welders.continuity import process_lines
from qualification.welders.validity_acts import record_act


def load_act(item: Mapping[str, Any], record: WelderTest, approver: User, today: date) -> None:
    """Record one act on an approved test; days are counted back from today."""
    welds = [
        {
            "welded_on": (today - timedelta(days=weld["days_ago"])).isoformat(),
            **{key: weld[key] for key in ("method", "report", "accepted")},
        }
        for weld in item.get("welds", [])
    ]
    act = ValidityAct(
        test=record,
        edition=record.edition,
        kind=item["kind"],
        day=today - timedelta(days=item["days_ago"]),
        by_name=item["by"],
        by_role=item["role"],
        processes=[process for process, _ in process_lines(record)],
        evidence=item["evidence"],
        welds=welds,
    )
    record_act(act, approver)

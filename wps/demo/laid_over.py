"""What the invented demo shop lays over the code: rows held against its own copy, and limits of its
customers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.contrib.auth.models import User

from qualification.codes.house_limits import add_rule
from qualification.codes.table_checks import hold
from qualification.models import HouseRule
from qualification.records.audit import name_of
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.overlay import TableVerification, hash_of, rows_of


def load_check(item: Mapping[str, Any], edition: str, approver: User, today: date) -> None:
    """Confirm the one row of a table that has the entries named. Raises StopIteration when there is none."""
    rows = rows_of({item["file"]: read_files(ROOT / edition)[item["file"]]})
    file, path, row = next(
        each for each in rows if all(each[2].get(key) == value for key, value in item["row"].items())
    )
    check = TableVerification(
        file=file,
        path=path,
        row_hash=hash_of(row),
        person=name_of(approver),
        day=today - timedelta(days=item["checked_days_ago"]),
        copy=item["copy"],
    )
    hold(edition, row["clause"], check, approver, [])


def load_limit(item: Mapping[str, Any], approver: User) -> None:
    """Lay a limit over the code."""
    add_rule(HouseRule(**item), approver)

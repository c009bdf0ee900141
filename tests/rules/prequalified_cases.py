"""Reads the cases under `prequalified_cases/`: welds held against the limits of procedures that need no test.

They are written like those under `cases/` and change the weld of a base there; its coupon is left aside.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path

from qualification.rules.findings import Report
from qualification.rules.prequalified import prequalified
from qualification.rules.tables import Edition
from tests.rules.case_files import Case, expand

FOLDER = Path(__file__).with_name("prequalified_cases")
EDITIONS = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


@lru_cache(maxsize=None)
def cases(edition: str) -> tuple[Case, ...]:
    listed = tomllib.loads((FOLDER / f"{edition}.toml").read_text("utf-8"))["case"]
    return tuple(case for item in listed for case in expand(item, edition))


def judge(case: Case, edition: Edition) -> Report:
    return prequalified(case.weld, edition, case.coupons[0].system)


def complaint(case: Case, edition: Edition) -> str:
    """Why the case does not come out as stated; empty when it does."""
    report = judge(case, edition)
    found = {f.variable for f in report.obstacles}
    if report.verdict is not case.expect:
        return f"{case.name}: expected {case.expect.words}, found {report.verdict.words}, because of {sorted(found) or 'nothing'}"
    if case.obstacles is not None and found != case.obstacles:
        return f"{case.name}: expected {sorted(case.obstacles)} to stand in the way, found {sorted(found)}"
    missing = case.obstacles_include - found
    return f"{case.name}: expected {sorted(missing)} among what stands in the way, found {sorted(found)}" if missing else ""


_order: dict[str, list[Case]] = {}


def failing(edition: Edition) -> list[str]:
    """The first case that does not come out as stated; it is tried first the next time."""
    order = _order.setdefault(edition.id, list(cases(edition.id)))
    for case in order:
        wrong = complaint(case, edition)
        if wrong:
            order.remove(case)
            order.insert(0, case)
            return [wrong]
    return []

"""Reads the cases under `cases/prequalified/`: welds held against the limits of procedures that need no test.

They are written like those under `cases/` and change the weld of a base there; its coupon is left aside.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from qualification.rules.core.findings import Report
from qualification.rules.ranges.prequalified import prequalified
from qualification.rules.tabular.edition import Edition
from tests.rules.readers.case_files import Case, expand

FOLDER = Path(__file__).parents[1] / "cases" / "prequalified"
EDITIONS = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


@cache
def cases(edition: str) -> tuple[Case, ...]:
    """Those of one edition; most have none."""
    if edition not in EDITIONS:
        return ()
    listed = tomllib.loads((FOLDER / f"{edition}.toml").read_text("utf-8"))["case"]
    return tuple(case for item in listed for case in expand(item, edition))


def judge(case: Case, edition: Edition) -> Report:
    return prequalified(case.weld, edition, case.coupons[0].system)

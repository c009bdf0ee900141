"""Further sets of cases that watch the code tables: each returns the names of its cases that fail."""

from __future__ import annotations

from collections.abc import Callable

from qualification.rules.tables import Edition
from tests.rules import continuity_cases, magnesium_cases, outcome_cases, prequalified_cases, quarterly_cases, validity_cases, welder_matrices
from tests.rules.catalogue_case_files import first_complaint

Watcher = Callable[[Edition], list[str]]


def _only(watcher: Watcher, *names: str) -> Watcher:
    """The watcher for those editions alone: cases of one code say nothing of another."""
    return lambda made: watcher(made) if made.id in names else []


WATCHERS: list[Watcher] = [
    first_complaint, _only(welder_matrices.failing, "asme_ix_2023"), _only(continuity_cases.failing, *continuity_cases.EDITIONS),
    _only(validity_cases.failing, *validity_cases.EDITIONS), _only(quarterly_cases.failing, *quarterly_cases.EDITIONS),
    outcome_cases.first_failing,
    _only(magnesium_cases.failing, "aws_d1_2_2014"), _only(prequalified_cases.failing, *prequalified_cases.EDITIONS),
]

"""Further sets of cases that watch the code tables: each returns the names of its cases that fail."""

from __future__ import annotations

from collections.abc import Callable

from qualification.rules.tables import Edition
from tests.rules import continuity_cases, outcome_cases, welder_matrices
from tests.rules.catalogue_case_files import first_complaint

WATCHERS: list[Callable[[Edition], list[str]]] = [
    first_complaint, welder_matrices.failing, continuity_cases.failing, outcome_cases.first_failing,
]

"""An invented code of one edition, small enough to reckon by hand. No real code says any of this."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

from qualification.rules import more_tables, tables
from qualification.rules.tables import Edition

CITED = {"provenance": "memory"}


def rule(clause: str, variable: str, kind: str, standing: str = "essential", **more: Any) -> dict[str, Any]:
    return {
        **CITED,
        "clause": clause,
        "variable": variable,
        "rule": kind,
        "because": f"Invented rule {clause}.",
        "standing": {"GMAW": standing, "GTAW": standing},
        **more,
    }


def mm(number: str) -> dict[str, str]:
    return {"us": f"{number} mm", "si": f"{number} mm"}


FILES: dict[str, dict[str, Any]] = {
    "edition.toml": {
        "code": "Invented code",
        "edition": "1",
        "title": "For tests only",
        "processes": ["GMAW", "GTAW"],
        "joins_procedure": ["amps", "deposit_thickness", "bead"],
        "joins_welder": ["position", "deposit_thickness"],
    },
    "sources.toml": {
        "source": [{"key": "PAGE", "title": "A page that does not exist", "url": "https://example.org/page"}],
    },
    "procedure.toml": {
        "row": [
            rule("1.1", "process", "same"),
            rule("1.2", "amps", "within_tested"),
            rule("1.3", "deposit_thickness", "band", **{"with": {"bands": "deposit"}}),
            rule("1.4", "bead", "same"),
            rule("1.5", "volts", "within_tested"),
            rule("1.6", "current_type", "same"),
            rule("1.7", "peening", "same", weld_when={"amps": {"above": {"us": "5 A", "si": "5 A"}}}),
            rule("1.8", "passes_per_side", "same", weld_unless=[{"deposit_thickness": {"up_to": mm("3")}}]),
            rule("1.9", "cleaning", "stated", "nonessential"),
            {
                **rule("1.10", "consumable_insert", "same"),
                "standing": {"GTAW": "essential"},
                "weld_unless": [{"root_on_other_test": ["yes"]}],
            },
        ],
    },
    "welder.toml": {
        "row": [
            rule("2.1", "process", "same"),
            rule("2.2", "position", "covers", **{"with": {"covers": "position", "tested": "test_position"}}),
            rule("2.3", "deposit_thickness", "capped", **{"with": {"factor": 2}}),
        ],
    },
    "bands.toml": {
        "deposit": {
            "of": "length",
            "row": [
                {**CITED, "clause": "3.1", "span": {"below": mm("4")}, "high_factor": 2},
                {**CITED, "clause": "3.2", "span": {"at_least": mm("4")}, "low": mm("2"), "high_factor": 2},
            ],
        },
    },
    "covers.toml": {
        "position": [
            {**CITED, "clause": "4.1", "tested": ["1G"], "covers": ["flat"]},
            {**CITED, "clause": "4.2", "tested": ["2G"], "covers": ["flat", "horizontal"]},
            {
                **CITED,
                "clause": "4.3",
                "tested": ["3G", "4G"],
                "together": True,
                "covers": ["flat", "horizontal", "vertical", "overhead"],
            },
        ],
    },
}


def small_files() -> dict[str, dict[str, Any]]:
    """A copy to change at will."""
    return copy.deepcopy(FILES)


@contextmanager
def without_further_files() -> Iterator[None]:
    """The small edition has none of the files that only some codes need."""
    with mock.patch.dict(more_tables.READERS, clear=True):
        yield


def build_small(files: dict[str, dict[str, Any]] | None = None) -> Edition:
    """The small edition, or what `files` make of it. Raises TableError as the loader does."""
    with without_further_files():
        return tables.build("small", FILES if files is None else files)

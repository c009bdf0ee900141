"""What this shop usually states of a process: the entries in which its newest approved tests of it agree.

They are shown beside a new process line as what they are, and count once somebody puts them into the fields
that are blank. Nothing that was read on one coupon is among them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qualification.models import ProcedureTest, State
from qualification.rules.entries.reading import Entry, plain
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry

HABITS = (
    "operation",
    "filler_specification",
    "filler_diameter",
    "shielding_gas",
    "current_type",
    "tungsten_type",
    "tungsten_diameter",
    "cup_size",
    "contact_tube_distance",
    "gun",
    "liner",
    "cleaning",
    "bead",
    "peening",
    "electrodes",
    "supplemental_filler",
)
"""Entries of a process that go by the shop's equipment and habits more than by the weld."""
NEWEST, AT_LEAST = 5, 2
"""Tests that are asked, and how many have to agree."""
USES = (RecordKind.SPEC, RecordKind.TEST, RecordKind.WELDER_TEST)


def usual_entries(process: str, use: RecordKind, units: str) -> dict[str, str]:
    """The entries by variable; none where the shop has fewer than two tests of the process in these units."""
    if use not in USES or not process:
        return {}
    lines = _lines(process, units)
    found = {}
    for key in HABITS:
        said = [plain(line[key]).strip() for line in lines if plain(line.get(key, "")).strip()]
        if len(said) >= AT_LEAST and len(set(said)) == 1 and use in registry()[key].uses:
            found[key] = said[0]
    return found


def _lines(process: str, units: str) -> list[Mapping[str, Entry]]:
    """The line of that process in each of the newest approved tests that have one."""
    tests = ProcedureTest.objects.filter(state=State.APPROVED, units=units).order_by("-approved_at", "-pk")
    found: list[Mapping[str, Entry]] = []
    for lines in tests.values_list("lines", flat=True)[: 4 * NEWEST]:
        found += [line for line in lines if line.get("process") == process][:1]
    return found[:NEWEST]


def said_usual(entries: Mapping[str, str]) -> Sequence[tuple[str, str]]:
    """Label and words of each entry."""
    return [(registry()[key].label, registry()[key].choice_label(text)) for key, text in entries.items()]


def filled(line: Mapping[str, Entry], usual: Mapping[str, str]) -> dict[str, Entry]:
    """The line with its blank fields filled; what stands stays."""
    return {**usual, **{key: entry for key, entry in line.items() if plain(entry).strip()}}

"""What this shop usually states of a process: its own defaults, and for the rest the entries in which its
newest approved tests of it agree.

They are shown beside a new process line as what they are, and count once somebody puts them into the fields
that are blank. Nothing that was read on one coupon is among them: what a procedure holds a weld to, such as
its preheat, is no default of a test.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qualification.models import ProcedureTest, Shop, State
from qualification.rules.entries.entry_texts import pieces
from qualification.rules.entries.reading import Entry, plain
from qualification.rules.variables.definition import Level, RecordKind
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
DEFAULTS = frozenset(
    {*HABITS, "filler_classification", "filler_form", "backing_gas", "transfer_mode", "passes_per_side"}
)
"""What the shop may state by default on every record."""
HELD = frozenset(
    {
        *("preheat_min", "interpass_max", "temperature_check", "shielding_flow", "backing_flow"),
        *("filler_handling", "weave_width", "torch_angle"),
    }
)
"""What a procedure asks of a weld: a default there, and never on a test, where it was read."""
NEWEST, AT_LEAST = 5, 2
"""Tests that are asked, and how many have to agree."""
USES = (RecordKind.SPEC, RecordKind.TEST, RecordKind.WELDER_TEST)


def stated_defaults(process: str, units: str) -> dict[str, Entry]:
    """What the shop states by default of a process, in records of these units."""
    return dict(Shop.current().process_defaults.get(units, {}).get(process, {}))


def usual_entries(process: str, use: RecordKind, units: str) -> dict[str, Entry]:
    """The entries by variable, of the line and of its joint; of tests none where the shop has fewer than two
    of the process in these units."""
    if use not in USES or not process:
        return {}
    lines = _lines(process, units)
    asked = DEFAULTS | HELD if use is RecordKind.SPEC else DEFAULTS
    found = {
        key: entry
        for key, entry in stated_defaults(process, units).items()
        if key in asked and key in registry() and use in registry()[key].uses
    }
    for key in HABITS:
        if key in found:
            continue
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


def said_usual(entries: Mapping[str, Entry]) -> Sequence[tuple[str, str]]:
    """Label and words of each entry."""
    return [
        (registry()[key].label, ", ".join(registry()[key].choice_label(text) for text in pieces(entry)))
        for key, entry in entries.items()
    ]


def of_level(usual: Mapping[str, Entry], level: Level) -> dict[str, Entry]:
    return {key: entry for key, entry in usual.items() if registry()[key].level is level}


def filled(line: Mapping[str, Entry], usual: Mapping[str, Entry]) -> dict[str, Entry]:
    """The line with its blank fields filled; what stands stays."""
    return {**usual, **{key: entry for key, entry in line.items() if plain(entry).strip()}}

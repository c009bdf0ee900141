"""One line that tells a weld, a test or a part apart from its neighbours in a list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qualification.rules.core.facts import Facts
from qualification.rules.entries.reading import NOT_APPLICABLE_WORDS, Entry, plain, read_weld
from qualification.rules.entries.wording import say_value
from qualification.rules.variables.definition import RecordKind, ValueKind
from qualification.rules.variables.registry import registry

OF_LINE = ("process", "transfer_mode", "filler_classification")
OF_JOINT = ("weld_type", "base_metal_a", "thickness_a", "product_form", "test_position", "position")

LONGEST_NAME = 60


def summary(
    joint: Mapping[str, Entry], lines: Sequence[Mapping[str, Entry]], units: str, use: RecordKind
) -> str:
    """Processes and fillers, then what is joined; what is not stated is left out."""
    weld = read_weld(joint, lines, use, units).weld
    processes = " + ".join(
        _words(facts, entries, OF_LINE, units) for facts, entries in zip(weld.lines, lines, strict=True)
    )
    return "; ".join(part for part in (processes, _words(weld.joint, joint, OF_JOINT, units)) if part)


def _words(facts: Facts, entries: Mapping[str, Entry], keys: Sequence[str], units: str) -> str:
    found = (_of(key, facts, entries, units) for key in keys)
    return ", ".join(_short(key, words) for key, words in found if words)


def _of(key: str, facts: Facts, entries: Mapping[str, Entry], units: str) -> tuple[str, str]:
    """Names as typed, all else in words."""
    typed = plain(entries.get(key, "")).strip()
    if registry()[key].kind in (ValueKind.METAL, ValueKind.FILLER) and len(typed) <= LONGEST_NAME:
        return key, "" if typed.lower() in NOT_APPLICABLE_WORDS else typed
    return key, say_value(key, facts[key], units) if facts.given(key) else ""


def _short(key: str, words: str) -> str:
    """`GMAW, gas-shielded wire` is `GMAW` in a list."""
    return words.split(",")[0] if key in ("process", "product_form") else words.replace("; ", " / ")

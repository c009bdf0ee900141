"""One line that tells a weld, a test or a part apart from its neighbours in a list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from qualification.rules.entries import Entry, read_weld
from qualification.rules.facts import Facts
from qualification.rules.variables import Use
from qualification.rules.wording import say_value

OF_LINE = ("process", "transfer_mode", "filler_classification")
OF_JOINT = ("weld_type", "base_metal_a", "thickness_a", "product_form", "test_position", "position")


def summary(joint: Mapping[str, Entry], lines: Sequence[Mapping[str, Entry]], units: str, use: Use) -> str:
    """Processes and fillers, then what is joined; what is not stated is left out."""
    weld = read_weld(joint, lines, use, units).weld
    processes = " + ".join(_words(line, OF_LINE, units) for line in weld.lines)
    return "; ".join(part for part in (processes, _words(weld.joint, OF_JOINT, units)) if part)


def _words(facts: Facts, keys: Sequence[str], units: str) -> str:
    return ", ".join(_short(key, say_value(key, facts[key], units)) for key in keys if facts.given(key))


def _short(key: str, words: str) -> str:
    """`GMAW, gas-shielded wire` is `GMAW` in a list."""
    return words.split(",")[0] if key in ("process", "product_form") else words.replace("; ", " / ")

"""The arithmetic of a record for its page: what follows from each process line and from its specimens."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from qualification.evidence.coverage import edition_of, read_record
from qualification.models import CouponRecord
from qualification.rules.arithmetic.derived_figures import reckon
from qualification.rules.arithmetic.heat import thermal_efficiency
from qualification.rules.arithmetic.job_figures import Money
from qualification.rules.arithmetic.reckoned import Reckoned
from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.quantities import show
from qualification.rules.core.units import SI
from qualification.rules.core.values import Interval
from qualification.rules.materials.catalogue import find_metal
from qualification.rules.testing.alternatives import without_ways
from qualification.rules.testing.result_entries import read_results
from qualification.rules.testing.specimen_figures import specimen_figures
from qualification.rules.testing.strength import minimum_of
from qualification.rules.testing.test_options import read_particulars

STEELS = frozenset({"carbon steel", "low-alloy steel"})


@dataclass(frozen=True)
class Part:
    label: str
    rows: tuple[Reckoned, ...]


@dataclass(frozen=True)
class Figures:
    parts: tuple[Part, ...]
    steel_query: str
    """What the record states for the page of preheat and cooling time; empty where no steel is welded."""

    @property
    def count(self) -> int:
        return sum(len(part.rows) for part in self.parts)


def figures_of(weld: Weld, system: str, money: Money | None = None) -> Figures:
    """What follows from the entries of a weld, line by line."""
    parts = []
    for index in range(len(weld.lines)):
        facts = weld.line_facts(index)
        process = facts["process"]
        named = " and ".join(sorted(process)) if isinstance(process, frozenset) else "process not stated"
        parts.append(Part(f"Process {index + 1}: {named}", reckon(facts, system, money)))
    return Figures(tuple(part for part in parts if part.rows), _steel_query(weld, system))


def figures_of_test(record: CouponRecord) -> Figures:
    """The same of a test, with its specimens."""
    weld, system = read_record(record).weld, record.units
    found = figures_of(weld, system)
    results, _ = read_results(record.results, system)
    particulars, _ = read_particulars(without_ways(record.tests_wanted), system)
    minimum = minimum_of(weld.joint, edition_of(record.edition), system, particulars.stated_minimum)
    rows = specimen_figures(results, minimum, system, particulars.elongation)
    return Figures((*found.parts, *([Part("Specimens", rows)] if rows else [])), found.steel_query)


def _steel_query(weld: Weld, system: str) -> str:
    names = weld.joint["base_metal_a"]
    metals = [find_metal(name) for name in names] if isinstance(names, frozenset) else []
    if not any(metal is not None and metal.family in STEELS for metal in metals):
        return ""
    sent = {"units": system}
    thickness = weld.joint["thickness_a"]
    if isinstance(thickness, Interval) and thickness.high is not None:
        sent["thickness"] = show(thickness.high, "length", system)
    facts: Sequence[Facts] = [weld.line_facts(index) for index in range(len(weld.lines))]
    for line in facts[:1]:
        heat, process = line["heat_input"], line["process"]
        if isinstance(heat, Interval) and heat.low is not None and isinstance(process, frozenset):
            try:
                factor, _ = thermal_efficiency(next(iter(process), ""))
            except LookupError:
                continue
            sent["heat_input"] = show(heat.low * factor, "heat_input", SI)
    preheat = weld.joint["preheat_min"]
    if isinstance(preheat, Interval) and preheat.low is not None:
        sent["start"] = show(preheat.low, "temperature", system)
    return urlencode(sent)

"""Entries that cannot well be true together, by common sense of the trade, pointed out as "check this".

These are no findings of a code and decide nothing: a shop may know better. A rule speaks only where every
entry it needs is stated, and of a range of settings only where no part of it fits. Rules and their numbers
stand in `tables/practice/combinations.toml`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..arithmetic.plausibility import plausibility
from ..core.facts import Facts, Weld
from ..core.findings import Provenance
from ..core.gases import NO_GAS, components
from ..core.quantities import US, QuantityError
from ..core.values import Interval, Stated
from ..entries import settings_rows
from ..entries.derive import derive
from ..entries.reading import ReadWeld
from ..entries.wording import say_value
from ..materials.catalogue import Filler, Metal, Origin, find_filler, find_metal
from ..materials.iso_designations import IsoFiller, read_iso_filler
from ..tabular.schema import TableError
from ..variables.definition import Level, RecordKind
from ..variables.registry import registry
from .combination_arithmetic import CHECKS
from .combination_tables import ARITHMETIC, Beyond, Combination
from .practice import practice

NOTHING = frozenset({"none", "no", "n/a", "na", "not applicable", "-", "—", "without"})
"""How an entry in words says that there is none."""
LEFT_TO_TRIALS = frozenset({"energy_against_settings", "deposit_against_leg", "deposit_against_groove"})
"""Remarks on settings that a row of the table makes as well, or that speak of one pass as it was laid: what a
procedure states of sizes and passes is not always of one."""

if set(CHECKS) != set(ARITHMETIC):
    raise TableError("the comparisons by arithmetic and their names differ")


@dataclass(frozen=True)
class CombinationCheck:
    """One thing to check: which entries, what is odd about them, and on what that rests."""

    key: str
    variables: tuple[str, ...]
    """The entries meant, those that are stated."""
    line: int | None
    entries: str
    """What is entered, in words."""
    reason: str
    basis: str
    """In words: public source, common practice, or unverified."""
    origins: tuple[Origin, ...] = ()
    quiet_because: str = ""
    """Why the shop leaves it aside; empty for one to look at."""

    @property
    def sentence(self) -> str:
        """Entries and reason in one."""
        place = "" if self.line is None else f"Process {self.line + 1}. "
        return f"{place}{self.entries}: {self.reason}" if self.entries else f"{place}{self.reason}"

    def as_json(self) -> dict[str, Any]:
        """As plain values, for pages, papers and answers in JSON."""
        return {
            "key": self.key,
            "variables": list(self.variables),
            "line": self.line,
            "entries": self.entries,
            "reason": self.reason,
            "sentence": self.sentence,
            "basis": self.basis,
            "quiet_because": self.quiet_because,
            "remark": " ".join(dict.fromkeys(each.remark for each in self.origins if each.remark)),
            "sources": [
                {"title": source.title, "url": source.url}
                for source in dict.fromkeys(s for each in self.origins for s in each.sources)
            ],
        }


def checks_for(
    weld: Weld, use: RecordKind, system: str = US, *, with_settings: bool = True
) -> tuple[CombinationCheck, ...]:
    """What to check on a weld's own entries, in the order of the table; never raises for what was entered.

    `use` is the record it is stated on, `system` the unit system the words are written in. `with_settings`
    adds what arithmetic says of settings that stand oddly together.
    """
    whole = derive(weld)
    found: list[CombinationCheck] = []
    for index in range(max(len(whole.lines), 1)):
        facts = whole.line_facts(index) if whole.lines else whole.joint
        about = _About(facts)
        for row in practice().combinations.rows:
            if (row.uses and use not in row.uses) or not _holds(row, facts, about):
                continue
            more = "" if not row.check else CHECKS[row.check](row, facts, about, whole, system)
            if more is not None:
                found.append(_made(row, facts, index, more, system))
        for size in _by_size(facts, system):
            found += _of_size(size, use, index, whole, system)
        if with_settings:
            found += _of_settings(facts, index, system)
    return tuple(_each_once(found))


def _by_size(facts: Facts, system: str) -> list[Facts]:
    """The facts of the line for each size of electrode that has a row of settings."""
    text = facts.text(settings_rows.KEY)
    if not text:
        return []
    try:
        rows = settings_rows.read_rows(text, system)
    except QuantityError:
        return []
    return [facts.including({settings_rows.SIZE: row.size, **row.values}) for row in rows]


def _of_size(facts: Facts, use: RecordKind, index: int, weld: Weld, system: str) -> list[CombinationCheck]:
    """What is odd about the settings of one size."""
    about, found = _About(facts), []
    for row in practice().combinations.rows:
        if settings_rows.SIZE not in row.fields or (row.uses and use not in row.uses):
            continue
        if _holds(row, facts, about):
            more = "" if not row.check else CHECKS[row.check](row, facts, about, weld, system)
            if more is not None:
                found.append(_made(row, facts, index, more, system))
    return found


def checks_of(
    read: ReadWeld, use: RecordKind, system: str = US, *, with_settings: bool = True
) -> tuple[CombinationCheck, ...]:
    """As `checks_for`, of entries as they were read, with those that another entry makes meaningless."""
    levels: dict[int | None, dict[str, Stated]] = {}
    for (line, key), text in read.aside.items():
        if text:
            levels.setdefault(line, {})[key] = text
    weld = replace(
        read.weld,
        joint=read.weld.joint.including(levels.get(None, {})),
        lines=tuple(facts.including(levels.get(n, {})) for n, facts in enumerate(read.weld.lines)),
    )
    return checks_for(weld, use, system, with_settings=with_settings)


def check_of_record(key: str, entries: str) -> CombinationCheck:
    """What is odd about the days of a record or its welder, with what is entered in words.

    Raises KeyError for a key the table does not have.
    """
    row = practice().combinations.of_records[key]
    return CombinationCheck(row.key, (), None, entries, row.text, row.basis, (row.origin,))


def _made(row: Combination, facts: Facts, index: int, more: str, system: str) -> CombinationCheck:
    said = tuple(key for key in row.fields if facts.given(key))
    on_line = any(registry()[key].level is Level.LINE for key in said)
    entries = "; ".join(f"{registry()[key].label} {say_value(key, facts[key], system)}" for key in said)
    reason = f"{row.text} {more}".strip()
    return CombinationCheck(
        row.key, said, index if on_line else None, entries, reason, row.basis, (row.origin,)
    )


def _of_settings(facts: Facts, index: int, system: str) -> list[CombinationCheck]:
    """What arithmetic says of the settings of one line."""
    found = []
    for remark in plausibility(facts, system):
        if remark.check in LEFT_TO_TRIALS:
            continue
        published = all(each.provenance is Provenance.PUBLISHED for each in remark.origins)
        basis = Provenance.PUBLISHED if remark.origins and published else Provenance.MEMORY
        found.append(
            CombinationCheck(
                remark.check, remark.variables, index, "", remark.sentence, basis.words, remark.origins
            )
        )
    return found


def _each_once(found: list[CombinationCheck]) -> list[CombinationCheck]:
    """What is said of the joint is said once, however many lines bring it up."""
    kept: dict[tuple[str, int | None, str], CombinationCheck] = {}
    for each in found:
        of_size = each.entries if settings_rows.SIZE in each.variables else ""
        kept.setdefault((each.key, each.line, of_size), each)
    return list(kept.values())


class _About:
    """Metals, filler and gas of one line as the catalog knows them, or as groups of a code tell them."""

    def __init__(self, facts: Facts) -> None:
        self.sides: list[tuple[frozenset[str], list[Metal]]] = []
        for side in ("a", "b"):
            metals = [m for name in facts.choices(f"base_metal_{side}") if (m := find_metal(name))]
            families = frozenset(m.family for m in metals) or _by_group(facts, f"_{side}")
            if families:
                self.sides.append((families, metals))
        self.metals = [metal for _, metals in self.sides for metal in metals]
        self.fillers: list[Filler] = [
            filler for name in facts.choices("filler_classification") if (filler := find_filler(name))
        ]
        kinds = [
            kind
            for kind in practice().combinations.kinds
            if "f_number" in kind.variables and facts.choices("f_number") & kind.choices
        ]
        by_iso = [
            _iso_kind(read)
            for name in facts.choices("filler_classification") | facts.choices("iso_filler")
            if (read := read_iso_filler(name))
        ]
        self.filler_kinds = (
            [(frozenset({filler.family}), frozenset(filler.processes)) for filler in self.fillers]
            if self.fillers
            else by_iso or [(kind.families, kind.processes) for kind in kinds]
        )
        """Families a filler may be of and processes it is made for; none of these where that is not known."""


_OF_GROUP = {
    "FM1": frozenset({"carbon steel"}),
    "FM2": frozenset({"low-alloy steel"}),
    "FM3": frozenset({"low-alloy steel"}),
    "FM4": frozenset({"low-alloy steel"}),
    "FM5": frozenset({"stainless austenitic", "stainless duplex", "stainless ferritic/martensitic"}),
    "FM6": frozenset({"nickel"}),
}
_BARE = frozenset({"GMAW", "GTAW", "SAW"})


def _iso_kind(read: IsoFiller) -> tuple[frozenset[str], frozenset[str]]:
    """Families and processes of a filler by its ISO designation; those without a group are of aluminum."""
    families = _OF_GROUP.get(read.group, frozenset({"aluminium"}))
    processes = {"SMAW": frozenset({"SMAW"}), "FCAW": frozenset({"FCAW", "GMAW"})}.get(read.process, _BARE)
    return families, processes


def _by_group(facts: Facts, side: str) -> frozenset[str]:
    for kind in practice().combinations.kinds:
        for key in kind.variables:
            stated = facts.choices(key)
            if key.endswith(side) and stated and stated <= kind.choices:
                return kind.families
    return frozenset()


def _holds(row: Combination, facts: Facts, about: _About) -> bool:
    return (
        all(facts.choices(key) and facts.choices(key) <= allowed for key, allowed in row.when.items())
        and not any(facts.choices(key) & excused for key, excused in row.unless.items())
        and all(_says_something(facts, key) for key in row.stated)
        and (not row.words or any(_speaks(facts, key, row.words) for key in row.fields))
        and all(_beyond(facts[key], limit) for key, limit in row.limits.items())
        and _metals_meet(row, about)
        and _filler_meets(row, facts, about)
        and _gas_meets(row, facts)
    )


def _metals_meet(row: Combination, about: _About) -> bool:
    if row.metals and not any(families & row.metals for families, _ in about.sides):
        return False
    if row.both_metals and not (
        len(about.sides) == 2 and all(families <= row.both_metals for families, _ in about.sides)
    ):
        return False
    if row.unlike and not (len(about.sides) == 2 and not about.sides[0][0] & about.sides[1][0]):
        return False
    if row.metal_starts and not any(m.key.startswith(row.metal_starts) for m in about.metals):
        return False
    if row.magnesium_above is not None and not any(
        m.magnesium is not None and m.magnesium > row.magnesium_above for m in about.metals
    ):
        return False
    if row.wrought and any(m.cast for m in about.metals):
        return False
    return row.heat_treatable is None or any(m.heat_treatable == row.heat_treatable for m in about.metals)


def _filler_meets(row: Combination, facts: Facts, about: _About) -> bool:
    if row.fillers and not any(families <= row.fillers for families, _ in about.filler_kinds):
        return False
    if row.filler_series and not any(f.series in row.filler_series for f in about.fillers):
        return False
    names = facts.choices("filler_classification")
    if row.filler_names and not (names and all(row.filler_names.fullmatch(name) for name in names)):
        return False
    above = row.filler_magnesium_above
    return above is None or any(f.magnesium is not None and f.magnesium > above for f in about.fillers)


def _gas_meets(row: Combination, facts: Facts) -> bool:
    gases = facts.choices("shielding_gas")
    if row.no_gas and gases != {NO_GAS}:
        return False
    if not row.gas_above or any(_richer(components(gas), row.gas_above) for gas in gases):
        return True
    # A group of ISO 14175 that is active holds carbon dioxide or oxygen, whatever its composition.
    return not gases and row.gas_above.get("CO2", 100) < 1 and facts.choices("gas_activity") == {"active"}


def _richer(parts: Mapping[str, Any], above: Mapping[str, Any]) -> bool:
    return any(part in above and share > above[part] for part, share in parts.items())


def _beyond(value: object, limit: Beyond) -> bool:
    if not isinstance(value, Interval):
        return False
    # A range has to lie beyond the limit as a whole, but for an entry of a highest value, whose end counts.
    low = value.low if value.low is not None else value.high
    high = value.high if value.high is not None else value.low
    if low is None or high is None:
        return False
    return (limit.above is None or low > limit.above) and (limit.below is None or high < limit.below)


def _says_something(facts: Facts, key: str) -> bool:
    return facts.given(key) and facts.text(key).strip().lower() not in NOTHING


def _speaks(facts: Facts, key: str, words: tuple[str, ...]) -> bool:
    return any(word in facts.text(key).lower() for word in words)

"""Groups an edition gives to metals and fillers, filled in from its tables where the record leaves them out.

What a record states is never overwritten; where it disagrees with the tables, `contradictions` says so. A
metal or filler without a row stays without a number, and so do several metals when one of them has none: a
part of the answer is not the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from ..core.facts import Facts, Weld
from ..core.findings import Citation, Provenance
from ..core.problems import Problem
from ..core.quantities import US
from ..core.values import MISSING, Interval, Stated
from ..tabular.edition import Edition
from ..variables.metal_systems import SIDES
from ..variables.registry import variable
from .catalogue import Filler, find_filler, find_metal
from .grouping_tables import BaseMetals, Fillers, Numbered
from .iso_designations import read_iso_filler
from .iso_fillers import designations

OUT_OF_CATALOGUE = "number stated"
"""Words that, put behind a metal's or filler's name, take it out of the catalogue's reach."""


@dataclass(frozen=True)
class Grouped:
    """One value that follows from an item of the catalogue."""

    key: str
    """The variable it is a value of."""
    value: str
    item: str
    """The metal or filler it follows from."""
    citation: Citation
    line: int | None = None


@dataclass(frozen=True)
class MinimumTensile:
    """The least tensile strength an edition asks of a base metal, or what it would take to say."""

    strength: Decimal | None
    """In MPa, from the limit of the unit system asked for; `None` when it cannot be said."""
    citation: Citation | None
    needs: tuple[str, ...] = ()
    """Variables that would have to be stated, `thickness` standing for that of the side in question."""
    reason: str = ""
    """Why there is no answer, in one sentence."""


def base_metals(edition: Edition) -> BaseMetals:
    """The edition's table of base metals; empty for an edition put together without one."""
    found = edition.more.get("base_metals")
    return found if isinstance(found, BaseMetals) else BaseMetals()


def fillers(edition: Edition) -> Fillers:
    """The edition's table of fillers; empty for an edition put together without one."""
    found = edition.more.get("fillers")
    return found if isinstance(found, Fillers) else Fillers()


def group(weld: Weld, edition: Edition) -> Weld:
    """The weld with its group numbers and filler forms filled in where the edition's tables know them."""
    lines = tuple(
        line.including(_unstated(_of_line(line, index, edition), line))
        for index, line in enumerate(weld.lines)
    )
    joint = {**_unstated(_of_joint(weld.joint, edition), weld.joint), **_magnesium(weld.joint)}
    return Weld(weld.joint.including(joint), lines, weld.name)


def explain_groups(weld: Weld, edition: Edition) -> list[Grouped]:
    """Where each value that `group` fills in comes from, item by item; only values the edition asks for."""
    found = [grouped for grouped in _of_joint(weld.joint, edition) if grouped.key not in weld.joint]
    for index, line in enumerate(weld.lines):
        found += [grouped for grouped in _of_line(line, index, edition) if grouped.key not in line]
    return [grouped for grouped in found if variable(grouped.key).asked_by(edition.speaks)]


def contradictions(weld: Weld, edition: Edition) -> list[Problem]:
    """Stated numbers and filler forms that are not those of the metal or filler named beside them."""
    found = [_problem(grouped, weld.joint) for grouped in _of_joint(weld.joint, edition)]
    for index, line in enumerate(weld.lines):
        found += [_problem(grouped, line) for grouped in _of_line(line, index, edition)]
    return [problem for problem in found if problem is not None]


def minimum_tensile(
    metal: str,
    edition: Edition,
    thickness: Interval | Decimal | None = None,
    product_form: str = "",
    system: str = US,
) -> MinimumTensile:
    """The minimum tensile strength of a base metal (any spelling) for a tension test under `edition`.

    `thickness` is in mm; `product_form` is a choice of that variable or one of PRODUCT_FORMS. Both may be
    left out where the edition's minimum does not turn on them.
    """
    named = find_metal(metal)
    name = named.key if named else metal
    listed = base_metals(edition).minima.get(name, ())
    if not listed:
        return MinimumTensile(None, None, reason=f"{edition.name} has no minimum here for {name}.")
    rows = [row for row in listed if row.form in ("", product_form)]
    needs: tuple[str, ...] = ("product_form",) if not product_form and any(row.form for row in listed) else ()
    if thickness is None and any(row.span.of(system) != Interval(None, None) for row in rows or listed):
        needs += ("thickness",)
    if needs:
        words = " and ".join(need.replace("_", " ") for need in needs)
        return MinimumTensile(None, None, needs, f"The minimum for {name} depends on its {words}.")
    whole = Interval.point(thickness) if isinstance(thickness, Decimal) else thickness or Interval(None, None)
    for row in rows:
        if whole.within(row.span.of(system)):
            return MinimumTensile(row.minimum.of(system), row.citation)
    return MinimumTensile(
        None, None, reason=f"The table of minima has no row for {name} in that form and thickness."
    )


def _of_joint(joint: Facts, edition: Edition) -> list[Grouped]:
    tables = base_metals(edition)
    system = tables.system
    found: list[Grouped] = []
    if system is None:
        return found
    for side in SIDES:
        rows = _rows(joint[f"base_metal_{side}"], _metal_key, tables.numbers)
        found += [Grouped(system.side(side), row.number, row.item, row.citation) for row in rows]
        # A group within a group counts within its own; beside another one it would say something untrue.
        stated = joint[system.side(side)]
        if all(row.group for row in rows) and stated in (MISSING, frozenset(row.number for row in rows)):
            found += [Grouped(system.sub_side(side), row.group, row.item, row.citation) for row in rows]
    return found


def _magnesium(joint: Facts) -> dict[str, Stated]:
    """Nominal magnesium of the side richer in it, for joints of aluminium alloys of the catalogue."""
    sides = []
    for side in SIDES:
        metals = [find_metal(name) for name in _names(joint[f"base_metal_{side}"])]
        shares = [metal.magnesium for metal in metals if metal is not None and metal.magnesium is not None]
        if not shares or len(shares) < len(metals):
            return {}
        sides.append(shares)
    return {
        "magnesium_most": Interval(max(min(shares) for shares in sides), max(max(shares) for shares in sides))
    }


def _of_line(line: Facts, index: int, edition: Edition) -> list[Grouped]:
    if line.is_only("filler_used", "no"):
        return []
    tables, named = fillers(edition), line["filler_classification"]
    found = [
        Grouped(key, row.number, row.item, row.citation, index)
        for key, numbers in (
            ("f_number", tables.f_numbers),
            ("filler_group", tables.groups),
            ("a_number", tables.deposits),
        )
        for row in _rows(named, _grouped_as, numbers)
    ]
    return (
        found
        + _designations(line, index, edition)
        + _by_designation(line, index, edition)
        + _forms(line, index)
    )


def _by_designation(line: Facts, index: int, edition: Edition) -> list[Grouped]:
    """What the ISO designation of each filler says by its own rule, where every filler has one that does."""
    texts = [*_names(line["filler_classification"])] or [*_names(line["iso_filler"])]
    read = [read_iso_filler(text) for text in texts]
    known = [each for each in read if each is not None]
    if not known or len(known) < len(read) or not variable("filler_group").asked_by(edition.speaks):
        return []
    catalogued = any(find_filler(text) is not None for text in texts)
    groups = {} if catalogued else {"filler_group": [each.group for each in known]}
    said = groups | {"covering_type": [_COVERS.get(each.cover, each.cover) for each in known]}
    if "filler_classification" in line and not catalogued:
        said["iso_filler"] = [each.name for each in known]
    return [
        Grouped(key, value, each.name, each.citation, index)
        for key, values in said.items()
        if all(values) and (key != "covering_type" or _covered(line))
        for value, each in zip(values, known, strict=True)
    ]


_COVERS = {"M": "", "U": ""}
"""A metal-powder core is no covering."""


def _covered(line: Facts) -> bool:
    process = line.choices("process")
    return bool(process) and process <= variable("covering_type").processes


def _designations(line: Facts, index: int, edition: Edition) -> list[Grouped]:
    """The ISO designations of each filler, where each of them has one; a stated one makes those beside others
    idle."""
    known, fillers_named = (
        designations(),
        [_filler_key(name) for name in _names(line["filler_classification"])],
    )
    if not variable("iso_filler").asked_by(edition.speaks) or any(
        filler not in known for filler in fillers_named
    ):
        return []
    is_stated = bool(line.choices("iso_filler"))
    return [
        Grouped("iso_filler", each.name, filler, each.citation, index)
        for filler in fillers_named
        for each in known[filler]
        if not (is_stated and each.beside_others)
    ]


def _forms(line: Facts, index: int) -> list[Grouped]:
    """The product form of each filler, for the processes that tell forms apart."""
    definition, process = variable("filler_form"), line.choices("process")
    if not process or not process <= definition.processes:
        return []
    named = [find_filler(name) for name in _names(line["filler_classification"])]
    forms = {choice.key for choice in definition.choices}
    known = [filler for filler in named if filler is not None and filler.form in forms]
    return (
        [Grouped("filler_form", f.form, f.key, _form_citation(f), index) for f in known]
        if len(known) == len(named)
        else []
    )


def _form_citation(filler: Filler) -> Citation:
    origin = filler.origin
    return Citation(
        "filler specification",
        "as bought",
        filler.specification,
        origin.provenance,
        origin.sources,
        origin.row,
        origin.remark,
    )


def _rows(value: Stated, key_of: Callable[[str], str], numbers: Mapping[str, Numbered]) -> list[Numbered]:
    """The rows of all items named, or none when one of them has no row."""
    rows = [numbers.get(key_of(name)) for name in _names(value)]
    known = [row for row in rows if row is not None]
    return known if len(known) == len(rows) else []


def _names(value: Stated) -> list[str]:
    if isinstance(value, frozenset):
        return sorted(value)
    return [value] if isinstance(value, str) else []


def _metal_key(name: str) -> str:
    metal = find_metal(name)
    return metal.key if metal else ""


def _filler_key(name: str) -> str:
    filler = find_filler(name)
    return filler.key if filler else ""


def _grouped_as(name: str) -> str:
    """Key of the filler whose groups this one has: its own, or of the listed one it is like."""
    filler = find_filler(name)
    return (filler.like or filler.key) if filler else ""


def _unstated(found: list[Grouped], stated: Facts) -> dict[str, Stated]:
    keys = {grouped.key for grouped in found} - set(stated)
    return {key: frozenset(g.value for g in found if g.key == key) for key in keys}


def _problem(grouped: Grouped, stated: Facts) -> Problem | None:
    value = stated.choices(grouped.key)
    if not value or grouped.value in value:
        return None
    definition = variable(grouped.key)
    written = ", ".join(sorted(definition.choice_label(choice) for choice in value))
    right = definition.choice_label(grouped.value)
    message = (
        f"{definition.label}: {written} is stated, and {grouped.item} is {right} by "
        f"{grouped.citation.clause}. Change it to {right}, or correct the name {grouped.item}."
    )
    if grouped.key == "a_number":
        # What a filler usually leaves is not what was analysed; the name then has to say so, or leaving the
        # number out would be taken for the usual one and cover what the stated one does not.
        message += (
            f" If the weld metal was analysed and is the stated one, write the name as "
            f"“{grouped.item} ({OUT_OF_CATALOGUE})”."
        )
    elif grouped.citation.provenance is Provenance.MEMORY and grouped.key not in (
        "filler_form",
        "iso_filler",
    ):
        message += (
            f" The table's entry is unverified; if yours is the right one, write the name as "
            f"“{grouped.item} ({OUT_OF_CATALOGUE})”."
        )
    return Problem(grouped.key, message, grouped.line)

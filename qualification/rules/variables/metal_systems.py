"""The numbering systems by which codes group base metals, and the variables that hold each of them.

An edition names its system by the stem of the variables (`metal_groups` in edition.toml); kinds of rule that
speak of groups of metals take the variables from there. A record may be read under several editions, so each
system has variables of its own and none stands in for another.
"""

from __future__ import annotations

from dataclasses import dataclass

from .common import METALS, NOT_WELDER, SPEC, plain
from .definition import Choice, Variable

SIDES = ("a", "b")
UNASSIGNED = "unassigned"


@dataclass(frozen=True)
class MetalSystem:
    """One numbering system."""

    stem: str
    """`p_number` of the variables `p_number_a` and `p_number_b`; also the name by which editions call it."""
    label: str
    """`P-Number`."""
    prefix: str
    """What stands before a group in words: `P-` of P-23."""
    groups: str
    """The groups, with spaces between them."""
    unlisted: str
    """Label of the choice for a metal the system does not group."""
    none: str
    """How such a metal is marked behind its name: `no P-Number`."""
    pair: str
    either: str
    sub_stem: str = ""
    """Stem of the variables for groups within a group; empty where the system has none."""
    sub_label: str = ""
    sub_groups: str = ""
    sub_pair: str = ""
    sub_help: str = ""

    def side(self, side: str) -> str:
        return f"{self.stem}_{side}"

    def sub_side(self, side: str) -> str:
        return f"{self.sub_stem}_{side}"

    @property
    def numbers(self) -> tuple[str, ...]:
        return tuple(self.groups.split())

    @property
    def sides(self) -> tuple[str, str]:
        return self.side("a"), self.side("b")

    @property
    def variables(self) -> frozenset[str]:
        """Every variable that speaks in this system."""
        subs = {self.sub_side("a"), self.sub_side("b"), self.sub_pair} if self.sub_stem else set()
        return frozenset({*self.sides, self.pair, self.either, *subs})

    @property
    def choices(self) -> tuple[Choice, ...]:
        return (*plain(self.groups, self.prefix), Choice(UNASSIGNED, self.unlisted))

    def say(self, token: str) -> str:
        """One side of a pair in words: `P-1 Gr. 2`, `7003 (no P-Number)`."""
        if token.startswith(f"{UNASSIGNED}:"):
            return f"{token.removeprefix(f'{UNASSIGNED}:')} ({self.none})"
        number, _, sub = token.partition(".") if self.sub_stem else (token, "", "")
        return f"{self.prefix}{number} Gr. {sub}" if sub else f"{self.prefix}{number}"


P_NUMBERS = MetalSystem(
    "p_number",
    "P-Number",
    "P-",
    "1 3 4 5A 5B 5C 6 7 8 9A 9B 9C 10A 10B 10C 10H 10I 10J 10K 11A 11B 11C 15E 15F 21 22 23 25 26 31 32 "
    "33 34 35 41 42 43 44 45 46 49 51 52 53 61 62",
    "No P-Number (qualified by itself)",
    "no P-Number",
    "p_pair",
    "p_numbers",
    "group",
    "Group Number",
    "1 2 3 4 5",
    "group_pair",
    "Ferrous metals only; matters where toughness is required.",
)

M_NUMBERS = MetalSystem(
    "m_number",
    "M-Number",
    "M-",
    "21 22 23 24 25 26 27",
    "No M-Number (qualified by itself)",
    "no M-Number",
    "m_pair",
    "m_numbers",
)

D11_GROUPS = MetalSystem(
    "d11_group",
    "Steel group (D1.1)",
    "Group ",
    "I II III IV",
    "Not a listed steel (qualified by itself)",
    "not a listed steel",
    "d11_pair",
    "d11_groups",
)

ISO_GROUPS = MetalSystem(
    "iso_group",
    "Group (ISO/TR 15608)",
    "Group ",
    "1.1 1.2 1.3 1.4 2.1 2.2 3.1 3.2 3.3 4.1 4.2 5.1 5.2 5.3 5.4 6.1 6.2 6.3 6.4 7.1 7.2 7.3 8.1 8.2 8.3 "
    "9.1 9.2 9.3 10.1 10.2 10.3 11.1 11.2 11.3 21 22.1 22.2 22.3 22.4 23.1 23.2 24.1 24.2 25 26 31 32.1 "
    "32.2 33 34 35 36 37 38 41 42 43 44 45 46 47 48 51.1 51.2 51.3 51.4 52 53 54 61 62",
    "No group (qualified by itself)",
    "no group",
    "iso_pair",
    "iso_groups",
)

S_NUMBERS = MetalSystem(
    "s_number",
    "S-Group",
    "S-",
    "1 1A 2 3 3A 4 5 6 6A 7 8 8A 10H 11 11A 21 22 23 24 25 26 31 32 33 34 35 36 36A 37 41 42 43 44 45 51 "
    "52 53 53A",
    "No S-Group (qualified by itself)",
    "no S-Group",
    "s_pair",
    "s_numbers",
)

SYSTEMS: dict[str, MetalSystem] = {
    s.stem: s for s in (P_NUMBERS, M_NUMBERS, D11_GROUPS, ISO_GROUPS, S_NUMBERS)
}
PAIRS: dict[str, MetalSystem] = {pair: s for s in SYSTEMS.values() for pair in (s.pair, s.sub_pair) if pair}
"""Systems by the variables that hold a pair of their groups."""


def side_variables(side: str) -> tuple[Variable, ...]:
    """The variables that hold the groups of one side, of every system."""
    return tuple(variable for system in SYSTEMS.values() for variable in _of_side(system, side))


def _of_side(system: MetalSystem, side: str) -> list[Variable]:
    family, name = METALS.but(many=SPEC, codes=frozenset({system.stem})), f"side {side.upper()}"
    follows = "Follows from the base metal when that is in the catalogue." if side == "a" else ""
    found = [
        family.choice(system.side(side), f"{system.label} of {name}", system.choices, help=follows),
    ]
    if system.sub_stem:
        key, label = system.sub_side(side), f"{system.sub_label} of {name}"
        words = system.sub_help if side == "a" else ""
        found.append(family.choice(key, label, plain(system.sub_groups), uses=NOT_WELDER, help=words))
    return found


def derived_variables() -> tuple[Variable, ...]:
    """Pairs of groups, and the groups of either side, of every system."""
    found: list[Variable] = []
    for system in SYSTEMS.values():
        family, label = METALS.but(derived=True, codes=frozenset({system.stem})), system.label
        joined = f"{label} of both sides" if label.endswith(")") else f"{label}s joined"
        found.append(family.choice(system.pair, joined))
        found.append(family.choice(system.either, f"{label} of either side", system.choices))
        if system.sub_pair:
            found.append(family.choice(system.sub_pair, "P- and Group Numbers joined"))
    return tuple(found)

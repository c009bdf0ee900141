"""Every property of a weld the program knows, each defined once.

Forms, models, rules, pages, PDFs, the JSON interface and its schema all read these definitions; a label, a
unit or a choice stated anywhere else is a defect. The definitions themselves are in the
other modules of that name, put in order by `variables/joint.py` and `variables/line.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..core.values import Interval, Stated

PROCESSES = ("SMAW", "GMAW", "FCAW", "GTAW", "SAW")


class ValueKind(StrEnum):
    NUMBER = "number"
    CHOICE = "choice"
    TEXT = "text"
    GAS = "gas"
    METAL = "metal"
    """A base metal from the catalogue, or the name of one that is not in it."""
    FILLER = "filler"
    """A filler classification from the catalogue, or the name of one that is not in it."""
    DESIGNATION = "designation"
    """A designation by a standard, in capitals and single spaces; compared as a whole."""


READ = frozenset({ValueKind.NUMBER, ValueKind.GAS, ValueKind.METAL, ValueKind.FILLER, ValueKind.DESIGNATION})
"""Kinds of which an entry is understood, and not only taken as it is."""


class Level(StrEnum):
    JOINT = "joint"
    LINE = "line"


class RecordKind(StrEnum):
    """The records a variable is entered on."""

    TEST = "procedure test"
    WELDER_TEST = "welder test"
    SPEC = "spec"
    PART = "part"
    TRIAL = "trial"


EVERYWHERE = frozenset(RecordKind)


@dataclass(frozen=True)
class Choice:
    key: str
    label: str


@dataclass(frozen=True)
class Variable:
    key: str
    label: str
    level: Level
    group: str
    """Heading under which forms and documents print it."""
    kind: ValueKind
    help: str = ""
    dimension: str | None = None
    """Key in `quantities.DIMENSIONS` for numbers."""
    choices: tuple[Choice, ...] = ()
    many: frozenset[RecordKind] = frozenset()
    """Records on which several choices, or a range of numbers, may be claimed at once."""
    processes: frozenset[str] = frozenset(PROCESSES)
    uses: frozenset[RecordKind] = EVERYWHERE
    plausible: tuple[Decimal, Decimal] | None = None
    """Ends, in canonical units, beyond which a number is a slip of the pen (common practice)."""
    zero: bool = False
    """True where zero is a real value and not a forgotten entry."""
    shown_when: tuple[str, frozenset[str]] | None = None
    """Another variable of the same level, and the choices of it that make this one meaningful."""
    may_be_na: bool = True
    """False for what every weld of the process has, or answers with yes or no: `n/a` is no entry there,
    except where another entry says that there is none of it (`shown_when`, `none_where`)."""
    none_where: tuple[tuple[str, frozenset[str]], ...] = ()
    """Other variables, and the choices of each that say in themselves that a weld has none of this one."""
    derived: bool = False
    """Worked out from other variables; never typed in."""
    codes: frozenset[str] = frozenset()
    """Families of codes, or systems of metal groups, that ask for it (`Edition.speaks`); empty: all do.
    Records of other codes do not show it, unless it is stated all the same."""

    def asked_by(self, speaks: frozenset[str]) -> bool:
        """True when an edition that speaks of these families and systems asks for the variable."""
        return not self.codes or bool(self.codes & speaks)

    def says_nothing_beside(self, controller: Stated) -> bool:
        """True where the entry that decides whether a weld has any of it (`shown_when`) says it has none."""
        if self.shown_when is None or not isinstance(controller, frozenset):
            return False
        return bool(controller) and not controller & self.shown_when[1]

    def choice_label(self, key: str) -> str:
        return next((c.label for c in self.choices if c.key == key), key)

    @property
    def bound(self) -> str:
        """`low` where the number is itself a lowest value, `high` where it is a highest: such a field takes
        “10 °C min” for what it is."""
        if self.key.endswith("_min"):
            return "low"
        is_highest = self.key.endswith("_max") or self.key.startswith("max_") or self.key == "weave_width"
        return "high" if is_highest else ""

    @property
    def plausible_interval(self) -> Interval | None:
        return None if self.plausible is None else Interval(*self.plausible)

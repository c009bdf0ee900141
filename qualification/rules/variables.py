"""Every property of a weld the program knows, each defined once.

Forms, models, rules, pages, PDFs, the JSON interface and its schema all read these definitions; a label, a
unit or a choice stated anywhere else is a defect. The definitions themselves are in the
other modules of that name, put in order by `variables_joint.py` and `variables_line.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from .values import Interval

PROCESSES = ("SMAW", "GMAW", "FCAW", "GTAW", "SAW")


class Kind(StrEnum):
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


class Level(StrEnum):
    JOINT = "joint"
    LINE = "line"


class Use(StrEnum):
    """The records a variable is entered on."""

    TEST = "procedure test"
    WELDER_TEST = "welder test"
    SPEC = "spec"
    PART = "part"
    TRIAL = "trial"


EVERYWHERE = frozenset(Use)


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
    kind: Kind
    help: str = ""
    dimension: str | None = None
    """Key in `quantities.DIMENSIONS` for numbers."""
    choices: tuple[Choice, ...] = ()
    many: frozenset[Use] = frozenset()
    """Records on which several choices, or a range of numbers, may be claimed at once."""
    processes: frozenset[str] = frozenset(PROCESSES)
    uses: frozenset[Use] = EVERYWHERE
    plausible: tuple[Decimal, Decimal] | None = None
    """Ends, in canonical units, beyond which a number is a slip of the pen (common practice)."""
    zero: bool = False
    """True where zero is a real value and not a forgotten entry."""
    shown_when: tuple[str, frozenset[str]] | None = None
    """Another variable of the same level, and the choices of it that make this one meaningful."""
    derived: bool = False
    """Worked out from other variables; never typed in."""
    codes: frozenset[str] = frozenset()
    """Families of codes, or systems of metal groups, that ask for it (`Edition.speaks`); empty: all do.
    Records of other codes do not show it, unless it is stated all the same."""

    def asked_by(self, speaks: frozenset[str]) -> bool:
        """True when an edition that speaks of these families and systems asks for the variable."""
        return not self.codes or bool(self.codes & speaks)

    def choice_label(self, key: str) -> str:
        return next((c.label for c in self.choices if c.key == key), key)

    @property
    def plausible_interval(self) -> Interval | None:
        return None if self.plausible is None else Interval(*self.plausible)


@lru_cache(maxsize=1)
def registry() -> dict[str, Variable]:
    """All variables by key, in the order in which forms and documents show them."""
    from .variables_joint import JOINT_VARIABLES
    from .variables_line import LINE_VARIABLES
    from .variables_trial import JOINT_VARIABLES as TRIAL_JOINT
    from .variables_trial import LINE_VARIABLES as TRIAL_LINE
    from .variables_trial import READ_ON_PASSES

    shared = (_as_on_tests(v, v.key not in READ_ON_PASSES) for v in (*JOINT_VARIABLES, *LINE_VARIABLES))
    found: dict[str, Variable] = {}
    for variable in (*shared, *TRIAL_JOINT, *TRIAL_LINE):
        if variable.key in found:
            raise ValueError(f"variable {variable.key} is defined twice")
        found[variable.key] = variable
    return found


def _as_on_tests(variable: Variable, asked: bool) -> Variable:
    """A trial is a coupon: it states what a procedure test states, and in the same way."""
    trial = {Use.TRIAL}
    stated = trial if asked and Use.TEST in variable.uses else frozenset()
    several = trial if Use.TEST in variable.many else frozenset()
    return replace(variable, uses=(variable.uses - trial) | stated, many=(variable.many - trial) | several)


def variable(key: str) -> Variable:
    """The variable with that key. Raises KeyError naming the key."""
    return registry()[key]


def variables_for(
    use: Use, level: Level, process: str | None = None, speaks: frozenset[str] | None = None
) -> list[Variable]:
    """The variables entered on one kind of record, in order; for a process line only those of its process,
    and with `speaks` (of an edition) only those it asks for."""
    return [
        v
        for v in registry().values()
        if v.level is level
        and use in v.uses
        and not v.derived
        and (process is None or process in v.processes)
        and (speaks is None or v.asked_by(speaks))
    ]

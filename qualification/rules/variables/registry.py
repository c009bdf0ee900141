"""The registry: all variables by key, put together from the modules beside this one."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from .definition import Level, RecordKind, Variable
from .joint import JOINT_VARIABLES
from .line import LINE_VARIABLES
from .trial import JOINT_VARIABLES as TRIAL_JOINT
from .trial import LINE_VARIABLES as TRIAL_LINE
from .trial import READ_ON_PASSES


@lru_cache(maxsize=1)
def registry() -> dict[str, Variable]:
    """All variables by key, in the order in which forms and documents show them."""
    shared = (_as_on_tests(v, v.key not in READ_ON_PASSES) for v in (*JOINT_VARIABLES, *LINE_VARIABLES))
    found: dict[str, Variable] = {}
    for variable in (*shared, *TRIAL_JOINT, *TRIAL_LINE):
        if variable.key in found:
            raise ValueError(f"variable {variable.key} is defined twice")
        found[variable.key] = variable
    return found


def _as_on_tests(variable: Variable, asked: bool) -> Variable:
    """A trial is a coupon: it states what a procedure test states, and in the same way."""
    trial = {RecordKind.TRIAL}
    stated = trial if asked and RecordKind.TEST in variable.uses else frozenset()
    several = trial if RecordKind.TEST in variable.many else frozenset()
    return replace(variable, uses=(variable.uses - trial) | stated, many=(variable.many - trial) | several)


def variable(key: str) -> Variable:
    """The variable with that key. Raises KeyError naming the key."""
    return registry()[key]


def variables_for(
    use: RecordKind, level: Level, process: str | None = None, speaks: frozenset[str] | None = None
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

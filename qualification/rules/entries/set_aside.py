"""Entries that say nothing here: a groove angle on a fillet weld, an outside diameter on plate.

They are kept as typed, so that they come back with the entry that gives them a meaning. Until then they count
as not stated, no paper prints them, and the editor names them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..core.values import Stated
from ..variables.definition import Variable
from ..variables.registry import registry


def set_aside(keys: Iterable[str], values: Mapping[str, Stated]) -> frozenset[str]:
    """Those of the keys that another entry of the same level makes meaningless. What is not stated makes
    nothing meaningless."""
    return frozenset(key for key in keys if key in registry() and _is_out_of_place(registry()[key], values))


def _is_out_of_place(variable: Variable, values: Mapping[str, Stated]) -> bool:
    if variable.shown_when is None:
        return False
    key = variable.shown_when[0]
    if key in values and variable.says_nothing_beside(values[key]):
        return True
    return _is_out_of_place(registry()[key], values)

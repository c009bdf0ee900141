"""Words by which reports of laboratories say what was found of a specimen."""

from __future__ import annotations

from .results import Broke, Cause, IndicationType

NONE_WORDS = frozenset(
    {
        "none",
        "no",
        "nil",
        "0",
        "clear",
        "no defects",
        "no open defects",
        "no openings",
        "no indications",
        "nd",
    }
)
BROKE_WORDS = {
    Broke.BASE_METAL: ("base metal", "base", "bm", "b.m.", "parent metal", "parent", "pm", "base material"),
    Broke.WELD: ("weld", "weld metal", "wm", "w.m.", "in weld"),
    Broke.FUSION_LINE: ("fusion line", "fl", "f.l.", "bond line"),
    Broke.HEAT_AFFECTED_ZONE: ("haz", "heat affected zone", "h.a.z.", "base metal haz"),
}
"""How a report says where a specimen broke."""
CAUSE_WORDS = {
    Cause.LACK_OF_FUSION: "lack of fusion",
    Cause.SLAG: "slag",
    Cause.OTHER_INTERNAL: "internal",
}
INDICATION_WORDS = {
    IndicationType.CRACK: "crack",
    IndicationType.LACK_OF_FUSION: "lack of fusion",
    IndicationType.LACK_OF_PENETRATION: "lack of penetration",
    IndicationType.LINEAR: "linear",
    IndicationType.ROUNDED: "rounded",
}

"""Entries that cannot all be true of one weld. Each check names the field to look at and what disagrees.

These are facts of geometry and of the trade (common practice), not rules of a code.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from ..core.facts import Facts, Weld
from ..core.problems import Problem
from ..core.quantities import US, show
from ..core.values import Interval
from ..variables.registry import registry
from .derive import derive

JointCheck = Callable[[Weld, str], list[Problem]]
LineCheck = Callable[[Facts, str], tuple[str, str] | None]
"""(facts of joint and line, unit system) -> (variable, message) or None."""

SLACK = Decimal("1.05")
"""Deposits are measured at the cap and the root, so a sum a little above the plate is no contradiction."""


def contradictions(weld: Weld, system: str = US) -> list[Problem]:
    """Every contradiction found in the weld's own entries."""
    whole = derive(weld)
    found = [problem for check in JOINT_CHECKS for problem in check(whole, system)]
    for index in range(len(whole.lines)):
        facts = whole.line_facts(index)
        for check in LINE_CHECKS:
            answer = check(facts, system)
            if answer:
                found.append(Problem(answer[0], answer[1], index))
    return found


def _deposits_fit(weld: Weld, system: str) -> list[Problem]:
    thicker = weld.joint.interval("thickness_thicker")
    if thicker is None or thicker.high is None or weld.joint.is_only("weld_type", "fillet"):
        return []
    lows = [line.interval("deposit_thickness") for line in weld.lines]
    total = sum((d.low for d in lows if d is not None and d.low is not None), Decimal(0))
    if total <= thicker.high * SLACK:
        return []
    last = max(i for i, d in enumerate(lows) if d is not None)
    return [
        Problem(
            "deposit_thickness",
            f"Deposit thickness: the deposits add up to {show(total, 'length', system)}, more than the"
            f" joint's {show(thicker.high, 'length', system)}. Correct the deposit or the thickness.",
            last,
        )
    ]


def _wholly_below(one: Interval, other: Interval) -> bool:
    """True when the first ends before the second starts; an end that is left open contradicts nothing."""
    return one.high is not None and other.low is not None and one.high < other.low


def _interpass_above_preheat(weld: Weld, system: str) -> list[Problem]:
    preheat, interpass = weld.joint.interval("preheat_min"), weld.joint.interval("interpass_max")
    if (
        preheat is not None
        and interpass is not None
        and preheat.low is not None
        and _wholly_below(interpass, preheat)
    ):
        return [
            Problem(
                "interpass_max",
                "Highest interpass temperature: it is below the lowest preheat "
                f"({show(preheat.low, 'temperature', system)}). Raise it or lower the preheat.",
            )
        ]
    return []


def _diameter_only_on_pipe(weld: Weld, system: str) -> list[Problem]:
    diameter, thick = weld.joint.interval("diameter"), weld.joint.interval("thickness_thinner")
    if diameter is None:
        return []
    if weld.joint.is_only("product_form", "plate"):
        return [
            Problem(
                "diameter", "Outside diameter: the product form is plate. Clear the diameter or choose pipe."
            )
        ]
    if (
        thick is not None
        and diameter.high is not None
        and thick.low is not None
        and diameter.high <= 2 * thick.low
    ):
        return [
            Problem(
                "diameter",
                f"Outside diameter: {show(diameter.high, 'length', system)} leaves no bore at this wall. "
                "Correct the diameter or the thickness.",
            )
        ]
    return []


def _test_position_fits(weld: Weld, system: str) -> list[Problem]:
    positions = weld.joint.choices("test_position")
    if not positions:
        return []
    if weld.joint.is_only("weld_type", "groove") and any(p.endswith(("F", "FR")) for p in positions):
        return [
            Problem(
                "test_position",
                "Test position: positions ending in F are for fillet coupons, and this one is a groove.",
            )
        ]
    if weld.joint.is_only("weld_type", "fillet") and any(p.endswith("G") for p in positions):
        return [
            Problem(
                "test_position",
                "Test position: positions ending in G are for groove coupons, and this one is a fillet.",
            )
        ]
    if weld.joint.is_only("product_form", "plate") and positions & {"5G", "6G", "5F", "2FR"}:
        return [
            Problem(
                "test_position",
                "Test position: 5G, 6G, 5F and 2FR are pipe positions. Choose pipe or another position.",
            )
        ]
    if weld.joint.is_only("product_form", "pipe") and positions & {"3G", "4G", "3F"}:
        return [
            Problem(
                "test_position",
                "Test position: 3G, 4G and 3F are plate positions. Choose plate or another position.",
            )
        ]
    return []


def _root_face_fits(weld: Weld, system: str) -> list[Problem]:
    face, thin = weld.joint.interval("root_face"), weld.joint.interval("thickness_thinner")
    if face is not None and thin is not None and thin.high is not None and _wholly_below(thin, face):
        return [
            Problem(
                "root_face",
                f"Root face: it is larger than the metal is thick ({show(thin.high, 'length', system)}).",
            )
        ]
    return []


def _no_heat_without_pwht(weld: Weld, system: str) -> list[Problem]:
    if not weld.joint.is_only("pwht", "none"):
        return []
    return [
        Problem(key, f"{label}: no postweld heat treatment is stated. Clear this or choose the treatment.")
        for key, label in (
            ("pwht_temperature", "PWHT temperature"),
            ("pwht_time", "PWHT time at temperature"),
        )
        if weld.joint.given(key)
    ]


def _pass_within_deposit(facts: Facts, system: str) -> tuple[str, str] | None:
    one, deposit = facts.interval("max_pass_thickness"), facts.interval("deposit_thickness")
    if one is None or deposit is None:
        return None
    if one.low is None or deposit.high is None or one.low <= deposit.high:
        return None
    whole = show(deposit.high, "length", system)
    return "max_pass_thickness", f"Thickest single pass: it is thicker than the whole deposit ({whole})."


def _pulsed_spray_needs_pulsing(facts: Facts, system: str) -> tuple[str, str] | None:
    if facts.is_only("transfer_mode", "pulsed_spray") and facts.is_only("current_programme", "steady"):
        return (
            "current_programme",
            ("Current program: pulsed spray needs a pulsed or double-pulsed program. Change one of the two."),
        )
    return None


def _slow_below_fast(facts: Facts, system: str) -> tuple[str, str] | None:
    slow, fast = facts.interval("slow_frequency"), facts.interval("pulse_frequency")
    if (
        slow is not None
        and fast is not None
        and slow.high is not None
        and fast.low is not None
        and slow.high >= fast.low
    ):
        return (
            "slow_frequency",
            (
                "Slow frequency: it has to lie below the pulse frequency"
                f" ({show(fast.low, 'frequency', system)})."
            ),
        )
    return None


def _wire_fits_process(facts: Facts, system: str) -> tuple[str, str] | None:
    form, process = facts.choices("filler_form"), facts.choices("process")
    if not form or not process:
        return None
    if process == {"GMAW"} and form & {"flux_cored", "flux_coated"}:
        return (
            "filler_form",
            "Filler product form: a flux-cored wire makes the process FCAW. Change the process or the form.",
        )
    if process == {"FCAW"} and form - {"flux_cored"}:
        return (
            "filler_form",
            "Filler product form: FCAW uses flux-cored wire. Change the process or the form.",
        )
    return None


def _mean_within_readings(facts: Facts, system: str) -> tuple[str, str] | None:
    for key in ("amps", "volts", "wire_feed", "travel_speed"):
        mean, readings = facts.interval(f"{key}_mean"), facts.interval(key)
        if mean is not None and readings is not None and not mean.within(readings):
            label = registry()[f"{key}_mean"].label
            return f"{key}_mean", f"{label}: it lies outside the readings. Correct the mean or the readings."
    return None


def _no_filler_no_class(facts: Facts, system: str) -> tuple[str, str] | None:
    if facts.is_only("filler_used", "no") and facts.given("filler_classification"):
        return (
            "filler_classification",
            (
                "Filler classification: the line says no filler is added. Clear this or say that filler is"
                " added."
            ),
        )
    return None


JOINT_CHECKS: tuple[JointCheck, ...] = (
    _deposits_fit,
    _interpass_above_preheat,
    _diameter_only_on_pipe,
    _test_position_fits,
    _root_face_fits,
    _no_heat_without_pwht,
)
LINE_CHECKS: tuple[LineCheck, ...] = (
    _pass_within_deposit,
    _pulsed_spray_needs_pulsing,
    _slow_below_fast,
    _wire_fits_process,
    _mean_within_readings,
    _no_filler_no_class,
)

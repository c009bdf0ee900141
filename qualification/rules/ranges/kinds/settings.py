"""Kinds of rule about settings and other numbers that may move so far from what was tested."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from ...core.values import Anything, Interval, NotEncoded, Undetermined
from ...tabular import schema
from ...tabular.schema import Column, required
from ...variables.limits import Condition, Limit
from ...variables.registry import registry
from ..rule_context import RuleKind, Tested

SEVERAL = frozenset({"filler_diameter"})
"""Of these a test may name several that were used; how far another may lie off counts from the farthest."""
TOLERANCES = frozenset({"groove_angle", "root_opening", "root_face"})
"""Of these a test may state the tolerance of the design, within which what was welded lies somewhere."""


def _allowed_off(tested: Tested) -> Decimal:
    allowance = tested.row.params["allowance"]
    return allowance.of(tested.system) if allowance else Decimal(0)


def _waits_for_measured(tested: Tested, sure: Interval, perhaps: Interval) -> list[Limit]:
    """What holds wherever in its tolerance the coupon was welded is covered; what would hold for some of it
    waits for the measured value."""
    key = tested.row.variable
    unless = (
        *(tested.conditions(c) for c in tested.row.weld_unless),
        (Condition(key, sure),),
    )
    return [tested.limit(perhaps), tested.limit(Undetermined((key,)), unless=unless)]


def _at_least_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.not_given()
    off, key = _allowed_off(tested), tested.row.variable
    if key in TOLERANCES and not found.is_point:
        if found.high is None:
            return tested.not_given()
        return _waits_for_measured(tested, Interval(found.high - off, None), Interval(found.low - off, None))
    if key in SEVERAL and found.high is not None:
        return [tested.limit(Interval(min(found.low, found.high - off), None))]
    return [tested.limit(Interval(found.low - off, None))]


def _at_most_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.not_given()
    off, key = _allowed_off(tested), tested.row.variable
    if key in TOLERANCES and not found.is_point:
        if found.low is None:
            return tested.not_given()
        return _waits_for_measured(tested, Interval(None, found.low + off), Interval(None, found.high + off))
    if key in SEVERAL and found.low is not None:
        return [tested.limit(Interval(None, max(found.high, found.low + off)))]
    return [tested.limit(Interval(None, found.high + off))]


def _within_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    return tested.not_given() if found is None else [tested.limit(found)]


def _within_percent(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None or found.high is None:
        return tested.not_given()
    share = tested.row.params["percent"] / 100
    return [tested.limit(Interval(found.low * (1 - share), found.high * (1 + share)))]


def _capped(tested: Tested) -> list[Limit]:
    """At most a factor times what was tested of the same variable."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.not_given()
    return [tested.limit(Interval(None, found.high * tested.row.params["factor"]))]


def _above_share(tested: Tested) -> list[Limit]:
    """More than a share of what was tested: a drop to that share is a change."""
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.not_given()
    return [tested.limit(Interval(found.low * tested.row.params["percent"] / 100, None, low_open=True))]


def _share_of_production(tested: Tested) -> list[Limit]:
    """The test held at least a share of the production total, so production is at most tested / share."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.not_given()
    return [tested.limit(Interval(None, found.high * 100 / tested.row.params["percent"]))]


def _percent_of_mean(tested: Tested) -> list[Limit]:
    """So many percent below and above the mean of what was tested. Where the record holds a span of readings
    and not their mean, what lies within those percents wherever the mean may be is covered, what lies without
    them wherever it may be is not, and the rest waits for the mean; where the row names no `mean`, the span
    itself counts. With `if_used` a weld may mark the setting as not applicable, where the code lets another
    one stand for it."""
    key, params = tested.row.variable, tested.row.params
    when = tested.conditions(tested.row.weld_when) + (
        (Condition(key, Anything()),) if params["if_used"] else ()
    )
    stated = tested.interval(params["mean"]) if params["mean"] else None
    found = stated or tested.interval(key)
    if found is None or found.low is None or found.high is None:
        return tested.not_given(when=when)
    below, above = 1 - params["below"] / 100, 1 + params["above"] / 100
    widest = tested.limit(Interval(found.low * below, found.high * above), tested=found, when=when)
    if found.is_point or not params["mean"]:
        return [widest]
    sure = (
        ((Condition(key, Interval(found.high * below, found.low * above)),),)
        if found.high * below <= found.low * above
        else ()
    )
    unless = (*(tested.conditions(c) for c in tested.row.weld_unless), *sure)
    return [widest, tested.limit(Undetermined((params["mean"],)), when=when, unless=unless, tested=found)]


def _short_of_step(tested: Tested) -> list[Limit]:
    """Less than a step above what was tested: an increase by the step itself is a change."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.not_given()
    step = tested.row.params["step"].of(tested.system)
    if tested.row.variable in SEVERAL and found.low is not None and found.low + step <= found.high:
        return [tested.limit(Interval(None, found.high))]
    least = found.low if tested.row.variable in SEVERAL and found.low is not None else found.high
    return [tested.limit(Interval(None, least + step, high_open=True))]


def _tested_or_not_encoded(tested: Tested) -> list[Limit]:
    """What was tested stands; the code lets it change so far, and the tables do not hold how far. With
    `upward` they do not hold how far below: what lies above is free here, or another row's; with `downward`
    the reverse."""
    key = tested.row.variable
    allowed = tested.interval(key) or tested.choices(key)
    if allowed is None:
        return tested.not_given(rest_not_encoded=True)
    sure = _surely(key, allowed)
    if isinstance(allowed, Interval) and tested.row.params["upward"]:
        end = allowed.high if key in TOLERANCES else allowed.low
        sure = () if end is None else (Interval(end, None, low_open=end == allowed.low and allowed.low_open),)
    if isinstance(allowed, Interval) and tested.row.params["downward"]:
        end = allowed.low if key in TOLERANCES else allowed.high
        sure = (
            () if end is None else (Interval(None, end, high_open=end == allowed.high and allowed.high_open),)
        )
    as_tested = tuple((Condition(key, each),) for each in sure)
    return [
        tested.limit(
            NotEncoded(), unless=(*(tested.conditions(c) for c in tested.row.weld_unless), *as_tested)
        )
    ]


def _surely(key: str, allowed: Interval | frozenset[str]) -> Sequence[Interval | frozenset[str]]:
    """What was tested for certain: of a tolerance nothing, of several sizes the two ends."""
    if isinstance(allowed, Interval) and not allowed.is_point:
        if key in TOLERANCES:
            return ()
        if key in SEVERAL and allowed.low is not None and allowed.high is not None:
            return (Interval.point(allowed.low), Interval.point(allowed.high))
    return (allowed,)


def _none(_: str) -> Mapping[str, Column]:
    return {}


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


def _allowance(variable: str) -> Mapping[str, Column]:
    dimension = _dimension(variable)
    return {"allowance": schema.pair("temperature_difference" if dimension == "temperature" else dimension)}


def _percent(raw: object, place: schema.TablePlace) -> Decimal:
    found = schema.number(raw, place)
    if found < 0:
        raise place.fail(f"{found} percent is not a way to move")
    return found


SETTING_KINDS: dict[str, RuleKind] = {
    "at_least_tested": RuleKind(_allowance, _at_least_tested),
    "at_most_tested": RuleKind(_allowance, _at_most_tested),
    "within_tested": RuleKind(_none, _within_tested),
    "within_percent": RuleKind(lambda _: {"percent": required(schema.number)}, _within_percent),
    "capped": RuleKind(lambda _: {"factor": required(schema.number)}, _capped),
    "above_share": RuleKind(lambda _: {"percent": required(schema.number)}, _above_share),
    "share_of_production": RuleKind(lambda _: {"percent": required(schema.number)}, _share_of_production),
    "percent_of_mean": RuleKind(
        lambda _: {
            "below": required(_percent),
            "above": required(_percent),
            "mean": schema.known_variable,
            "if_used": schema.yes_no,
        },
        _percent_of_mean,
    ),
    "short_of_step": RuleKind(lambda v: {"step": required(schema.pair(_dimension(v)))}, _short_of_step),
    "tested_or_not_encoded": RuleKind(
        lambda _: {"upward": schema.yes_no, "downward": schema.yes_no}, _tested_or_not_encoded
    ),
}

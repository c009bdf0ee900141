"""Kinds of rule about settings and other numbers that may move so far from what was tested."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from . import schema
from .limits import Condition, Limit
from .schema import Column, required
from .tested import Kind, Tested
from .values import Anything, Interval, NotEncoded, Undetermined
from .variables import registry


def _at_least_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.not_given()
    allowance = tested.row.params["allowance"]
    return [tested.limit(Interval(found.low - (allowance.of(tested.system) if allowance else 0), None))]


def _at_most_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.not_given()
    allowance = tested.row.params["allowance"]
    return [tested.limit(Interval(None, found.high + (allowance.of(tested.system) if allowance else 0)))]


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
    return [
        tested.limit(Interval(None, found.high + tested.row.params["step"].of(tested.system), high_open=True))
    ]


def _tested_or_not_encoded(tested: Tested) -> list[Limit]:
    """What was tested stands; the code lets it change so far, and the tables do not hold how far. With
    `upward` they do not hold how far below, and another row limits what lies above."""
    key = tested.row.variable
    allowed = tested.interval(key) or tested.choices(key)
    if allowed is None:
        return tested.not_given(rest_not_encoded=True)
    if tested.row.params["upward"] and isinstance(allowed, Interval):
        allowed = Interval(allowed.low, None, low_open=allowed.low_open)
    as_tested = (Condition(key, allowed),)
    return [
        tested.limit(
            NotEncoded(), unless=(*(tested.conditions(c) for c in tested.row.weld_unless), as_tested)
        )
    ]


def _none(_: str) -> Mapping[str, Column]:
    return {}


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


def _allowance(variable: str) -> Mapping[str, Column]:
    dimension = _dimension(variable)
    return {"allowance": schema.pair("temperature_difference" if dimension == "temperature" else dimension)}


def _percent(raw: object, place: schema.Place) -> Decimal:
    found = schema.number(raw, place)
    if found < 0:
        raise place.fail(f"{found} percent is not a way to move")
    return found


SETTING_KINDS: dict[str, Kind] = {
    "at_least_tested": Kind(_allowance, _at_least_tested),
    "at_most_tested": Kind(_allowance, _at_most_tested),
    "within_tested": Kind(_none, _within_tested),
    "within_percent": Kind(lambda _: {"percent": required(schema.number)}, _within_percent),
    "capped": Kind(lambda _: {"factor": required(schema.number)}, _capped),
    "above_share": Kind(lambda _: {"percent": required(schema.number)}, _above_share),
    "share_of_production": Kind(lambda _: {"percent": required(schema.number)}, _share_of_production),
    "percent_of_mean": Kind(
        lambda _: {
            "below": required(_percent),
            "above": required(_percent),
            "mean": schema.known_variable,
            "if_used": schema.yes_no,
        },
        _percent_of_mean,
    ),
    "short_of_step": Kind(lambda v: {"step": required(schema.pair(_dimension(v)))}, _short_of_step),
    "tested_or_not_encoded": Kind(lambda _: {"upward": schema.yes_no}, _tested_or_not_encoded),
}

"""Kinds of rule: how a row of a variable matrix and one tested line become limits.

Each kind is a pair of a parameter schema and a function `(Tested) -> list[Limit]`. A kind holds no number
of any code; those arrive as parameters from the tables.
"""

from __future__ import annotations

from collections.abc import Mapping

from . import schema
from .kinds_metals import METAL_KINDS
from .kinds_thickness import THICKNESS_KINDS, band_interval
from .limits import Condition, Limit, Truth
from .schema import Column, required
from .tested import Kind, Tested
from .values import Absent, Anything, Interval, NotEncoded, Undetermined
from .variables import registry


def _same(tested: Tested) -> list[Limit]:
    """Only what was tested."""
    found = tested.choices(tested.row.variable)
    return tested.undetermined(tested.row.variable) if found is None else [tested.limit(found)]


def _same_class(tested: Tested) -> list[Limit]:
    """What was tested, and whatever stands in one class with it."""
    found = tested.choices(tested.row.variable)
    if found is None:
        return tested.undetermined(tested.row.variable)
    together = {key for members in tested.row.params["classes"] if found & set(members) for key in members}
    return [tested.limit(found | together)]


def _fixed(tested: Tested) -> list[Limit]:
    """A set of choices the code names itself, whatever was tested (used with `test_when`)."""
    return [tested.limit(frozenset(tested.row.params["allowed"]))]


def _fixed_range(tested: Tested) -> list[Limit]:
    """Numbers the code names itself, whatever was tested (used with `test_when`)."""
    return [tested.limit(tested.row.params["allowed"].of(tested.system))]


def _at_least_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.undetermined(tested.row.variable)
    allowance = tested.row.params["allowance"]
    return [tested.limit(Interval(found.low - (allowance.of(tested.system) if allowance else 0), None))]


def _at_most_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    allowance = tested.row.params["allowance"]
    return [tested.limit(Interval(None, found.high + (allowance.of(tested.system) if allowance else 0)))]


def _within_tested(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    return tested.undetermined(tested.row.variable) if found is None else [tested.limit(found)]


def _within_percent(tested: Tested) -> list[Limit]:
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    share = tested.row.params["percent"] / 100
    return [tested.limit(Interval(found.low * (1 - share), found.high * (1 + share)))]


def _capped(tested: Tested) -> list[Limit]:
    """At most a factor times what was tested of the same variable."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    return [tested.limit(Interval(None, found.high * tested.row.params["factor"]))]


def _above_share(tested: Tested) -> list[Limit]:
    """More than a share of what was tested: a drop to that share is a change."""
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.undetermined(tested.row.variable)
    return [tested.limit(Interval(found.low * tested.row.params["percent"] / 100, None, low_open=True))]


def _share_of_production(tested: Tested) -> list[Limit]:
    """The test held at least a share of the production total, so production is at most tested / share."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    return [tested.limit(Interval(None, found.high * 100 / tested.row.params["percent"]))]


def _stated(tested: Tested) -> list[Limit]:
    """Nonessential: the WPS has to state it and may choose it freely."""
    return [tested.limit(Anything())]


def _unlimited(tested: Tested) -> list[Limit]:
    """The code says in so many words that the variable has no limit here."""
    return [tested.limit(Anything())]


def _not_encoded(tested: Tested) -> list[Limit]:
    """The code has a rule here that the tables do not hold; the answer is neither yes nor no."""
    return [tested.limit(NotEncoded())]


def _covers(tested: Tested) -> list[Limit]:
    """By a table of which choice covers which; one limit for each circumstance the table knows."""
    row, table = tested.row, tested.edition.covers[tested.row.params["covers"]]
    found = tested.choices(row.params["tested"] or row.variable)
    if found is None:
        return tested.undetermined(row.params["tested"] or row.variable)
    limits = []
    for circumstance in table.circumstances:
        allowed: set[str] = set(found) if row.params["itself"] else set()
        cited, needs = None, set()
        for cover in table.rows:
            if cover.weld_when != circumstance or not cover.speaks_for(found):
                continue
            truth = tested.holds(cover.test_when)
            if truth is Truth.UNKNOWN:
                needs |= {c.variable for c in cover.test_when if tested.facts[c.variable] is Absent.MISSING}
            elif truth is Truth.YES:
                allowed |= cover.covers
                cited = cited or cover.citation
        limits.append(tested.limit(
            Undetermined(tuple(sorted(needs))) if needs else frozenset(allowed),
            when=tested.conditions((*row.weld_when, *circumstance)), citation=cited or row.citation,
            tested=tested.facts[row.params["tested"] or row.variable],
        ))
    return limits


def _band(tested: Tested) -> list[Limit]:
    """By a band table, entered with the tested value of the same variable or of the one named by `by`."""
    by = tested.row.params["by"] or tested.row.variable
    found = tested.interval(by)
    if found is None or found.high is None:
        return tested.undetermined(by)
    interval, cited = band_interval(tested, tested.row.params["bands"], found.high, {})
    unlimited = interval.low is None and interval.high is None
    return [tested.limit(Anything() if unlimited else interval, citation=cited, tested=found)]


def _multiple_by_layers(tested: Tested) -> list[Limit]:
    """At most a factor times what was tested; without limit from a thickness on, when laid in enough layers."""
    found, params = tested.interval(tested.row.variable), tested.row.params
    if found is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    cap = Interval(None, found.high * params["factor"])
    if found.high < params["free_from"].of(tested.system):
        return [tested.limit(cap)]
    layers = tested.interval("layers")
    if layers is None:
        # Up to the factor the layers do not matter, so only a weld beyond it waits for them.
        beyond = Condition(tested.row.variable, Interval(cap.high, None, low_open=True))
        return [tested.limit(Undetermined(("layers",)), when=(*tested.conditions(tested.row.weld_when), beyond))]
    enough = layers.low is not None and layers.low >= params["free_layers"]
    return [tested.limit(Anything() if enough else cap)]


def _none(_: str) -> Mapping[str, Column]:
    return {}


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


def _allowance(variable: str) -> Mapping[str, Column]:
    dimension = _dimension(variable)
    return {"allowance": schema.pair("temperature_difference" if dimension == "temperature" else dimension)}


KINDS: dict[str, Kind] = {
    **METAL_KINDS,
    **THICKNESS_KINDS,
    "same": Kind(_none, _same),
    "same_class": Kind(lambda _: {"classes": required(schema.key_lists)}, _same_class),
    "fixed": Kind(lambda _: {"allowed": required(schema.keys)}, _fixed),
    "fixed_range": Kind(lambda v: {"allowed": required(schema.pair_interval(_dimension(v)))}, _fixed_range),
    "at_least_tested": Kind(_allowance, _at_least_tested),
    "at_most_tested": Kind(_allowance, _at_most_tested),
    "within_tested": Kind(_none, _within_tested),
    "within_percent": Kind(lambda _: {"percent": required(schema.number)}, _within_percent),
    "capped": Kind(lambda _: {"factor": required(schema.number)}, _capped),
    "above_share": Kind(lambda _: {"percent": required(schema.number)}, _above_share),
    "share_of_production": Kind(lambda _: {"percent": required(schema.number)}, _share_of_production),
    "stated": Kind(_none, _stated),
    "unlimited": Kind(_none, _unlimited),
    "not_encoded": Kind(_none, _not_encoded),
    "multiple_by_layers": Kind(
        lambda v: {"factor": required(schema.number), "free_from": required(schema.pair(_dimension(v))),
                   "free_layers": required(schema.whole)}, _multiple_by_layers),
    "covers": Kind(lambda _: {"covers": required(schema.text), "tested": schema.known_variable, "itself": schema.yes_no}, _covers),
    "band": Kind(lambda _: {"bands": required(schema.text), "by": schema.known_variable}, _band),
}

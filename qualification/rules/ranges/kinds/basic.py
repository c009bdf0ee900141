"""Kinds of rule: how a row of a variable matrix and one tested line become limits.

Each kind is a pair of a parameter schema and a function `(Tested) -> list[Limit]`. A kind holds no number
of any code; those arrive as parameters from the tables.
"""

from __future__ import annotations

from collections.abc import Mapping

from ...core.values import Anything, Interval, NotEncoded, Undetermined
from ...tabular import schema
from ...tabular.schema import Column, required
from ...variables.limits import Condition, Limit, Truth
from ...variables.registry import registry
from ..rule_context import RuleKind, Tested
from .metals import METAL_KINDS
from .settings import SETTING_KINDS
from .thickness import THICKNESS_KINDS, band_interval, is_encoded


def _same(tested: Tested) -> list[Limit]:
    """Only what was tested."""
    found = tested.choices(tested.row.variable)
    return tested.not_given() if found is None else [tested.limit(found)]


def _same_class(tested: Tested) -> list[Limit]:
    """What was tested, and whatever stands in one class with it."""
    found = tested.choices(tested.row.variable)
    if found is None:
        return tested.not_given()
    together = {key for members in tested.row.params["classes"] if found & set(members) for key in members}
    return [tested.limit(found | together)]


def _fixed(tested: Tested) -> list[Limit]:
    """A set of choices the code names itself, whatever was tested (used with `test_when`)."""
    return [tested.limit(frozenset(tested.row.params["allowed"]))]


def _fixed_range(tested: Tested) -> list[Limit]:
    """Numbers the code names itself, whatever was tested (used with `test_when`)."""
    return [tested.limit(tested.row.params["allowed"].of(tested.system))]


def _stated(tested: Tested) -> list[Limit]:
    """Nonessential: the WPS has to state it and may choose it freely."""
    return [tested.limit(Anything())]


def _unlimited(tested: Tested) -> list[Limit]:
    """The code says in so many words that the variable has no limit here."""
    return [tested.limit(Anything())]


def _not_encoded(tested: Tested) -> list[Limit]:
    """The code has a rule here that the tables do not hold; the answer is neither yes nor no. While the
    record leaves out what would exempt the test, it waits for that."""
    open_ones = [specs for specs in tested.row.test_unless if tested.exempted_by(specs) is Truth.UNKNOWN]
    missing = dict.fromkeys(key for specs in open_ones for key in tested.open_in(specs))
    return tested.undetermined(*missing) if missing else [tested.limit(NotEncoded())]


def _covers(tested: Tested) -> list[Limit]:
    """By a table of which choice covers which; one limit for each circumstance the table knows. With `rest`
    the table is known to be a part of the code's: what it does not hold, or what a tested choice without a
    row covers beside itself, is not encoded, rather than refused."""
    row, table = tested.row, tested.edition.covers[tested.row.params["covers"]]
    by = row.params["tested"] or row.variable
    found = tested.choices(by)
    if found is None:
        return (
            tested.not_given(rest_not_encoded=row.params["rest"] is not None)
            if by == row.variable
            else tested.undetermined(by)
        )
    unlisted = not any(cover.speaks_for(found) for cover in table.rows)
    limits = []
    for circumstance in table.circumstances:
        allowed: set[str] = set(found) if row.params["itself"] or (unlisted and row.params["rest"]) else set()
        cited, needs = None, set()
        for cover in table.rows:
            if cover.weld_when != circumstance or not cover.speaks_for(found):
                continue
            truth = tested.holds(cover.test_when)
            if truth is Truth.UNKNOWN:
                needs |= set(tested.open_in(cover.test_when))
            elif truth is Truth.YES:
                allowed |= cover.covers
                cited = cited or cover.citation
        known = Undetermined(tuple(sorted(needs))) if needs else frozenset(allowed)
        beyond = (
            row.params["rest"] == "not_encoded" or (row.params["rest"] == "without_row" and unlisted)
        ) and isinstance(known, frozenset)
        limits.append(
            tested.limit(
                NotEncoded() if beyond else known,
                when=tested.conditions((*row.weld_when, *circumstance)),
                citation=cited or row.citation,
                tested=tested.facts[by],
                unless=(
                    *(tested.conditions(c) for c in row.weld_unless),
                    *([(Condition(row.variable, known),)] if beyond else []),
                ),
            )
        )
    return limits


def _band(tested: Tested) -> list[Limit]:
    """By a band table, entered with the tested value of the same variable or of the one named by `by`."""
    by = tested.row.params["by"] or tested.row.variable
    found = tested.interval(by)
    if found is None or found.high is None:
        return tested.not_given() if by == tested.row.variable else tested.undetermined(by)
    if not is_encoded(tested, tested.row.params["bands"], found.high):
        return [tested.limit(NotEncoded(), tested=found)]
    interval, cited = band_interval(tested, tested.row.params["bands"], found.high, {})
    unlimited = interval.low is None and interval.high is None
    return [tested.limit(Anything() if unlimited else interval, citation=cited, tested=found)]


def _multiple_by_layers(tested: Tested) -> list[Limit]:
    """At most a factor times what was tested; without limit from a thickness on, when laid in enough
    layers."""
    found, params = tested.interval(tested.row.variable), tested.row.params
    if found is None or found.high is None:
        return tested.not_given()
    cap = Interval(None, found.high * params["factor"])
    if found.high < params["free_from"].of(tested.system):
        return [tested.limit(cap)]
    layers = tested.interval("layers")
    if layers is None:
        # Up to the factor the layers do not matter, so only a weld beyond it waits for them.
        beyond = Condition(tested.row.variable, Interval(cap.high, None, low_open=True))
        return [
            tested.limit(Undetermined(("layers",)), when=(*tested.conditions(tested.row.weld_when), beyond))
        ]
    enough = layers.low is not None and layers.low >= params["free_layers"]
    return [tested.limit(Anything() if enough else cap)]


def _none(_: str) -> Mapping[str, Column]:
    return {}


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


KINDS: dict[str, RuleKind] = {
    **METAL_KINDS,
    **THICKNESS_KINDS,
    **SETTING_KINDS,
    "same": RuleKind(_none, _same),
    "same_class": RuleKind(lambda _: {"classes": required(schema.key_lists)}, _same_class),
    "fixed": RuleKind(lambda _: {"allowed": required(schema.keys)}, _fixed),
    "fixed_range": RuleKind(
        lambda v: {"allowed": required(schema.pair_interval(_dimension(v)))}, _fixed_range
    ),
    "stated": RuleKind(_none, _stated),
    "unlimited": RuleKind(_none, _unlimited),
    "not_encoded": RuleKind(_none, _not_encoded),
    "multiple_by_layers": RuleKind(
        lambda v: {
            "factor": required(schema.number),
            "free_from": required(schema.pair(_dimension(v))),
            "free_layers": required(schema.whole),
        },
        _multiple_by_layers,
    ),
    "covers": RuleKind(
        lambda _: {
            "covers": required(schema.text),
            "tested": schema.known_variable,
            "itself": schema.yes_no,
            "rest": schema.one_of("not_encoded", "without_row"),
        },
        _covers,
    ),
    "band": RuleKind(lambda _: {"bands": required(schema.text), "by": schema.known_variable}, _band),
}

"""Kinds of rule: how a row of a variable matrix and one tested line become limits.

Each kind is a pair of a parameter schema and a function `(Tested) -> list[Limit]`. A kind holds no number
of any code; those arrive as parameters from the tables.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from . import schema
from .facts import Facts
from .limits import Condition, Limit, Truth, comparable
from .rulebook import RuleRow
from .schema import Column, ConditionSpec, required
from .tables import Edition
from .values import Absent, Allowed, Anything, Interval, NotEncoded, Undetermined
from .variables import registry


@dataclass(frozen=True)
class Tested:
    """One line of one coupon, and the row to read it under."""

    facts: Facts
    system: str
    record: str
    row: RuleRow
    edition: Edition
    process: str

    def limit(self, allowed: Allowed, **more: object) -> Limit:
        """A limit on the row's variable with the row's conditions, unless `more` says otherwise."""
        row = self.row
        settings: dict[str, object] = {
            "variable": row.variable, "allowed": allowed, "standing": row.standing[self.process], "citation": row.citation,
            "because": row.because, "record": self.record, "tested": self.facts[str(more.get("variable", row.variable))],
            "when": self.conditions(row.weld_when), "unless": tuple(self.conditions(c) for c in row.weld_unless),
        }
        settings.update(more)
        return Limit(**settings)  # type: ignore[arg-type]

    def conditions(self, specs: tuple[ConditionSpec, ...]) -> tuple[Condition, ...]:
        return tuple(spec.of(self.system) for spec in specs)

    def undetermined(self, *needs: str) -> list[Limit]:
        return [self.limit(Undetermined(needs))]

    def choices(self, key: str) -> frozenset[str] | None:
        """The tested choices of a variable, free text as one key; `None` when the record does not give them."""
        value = self.facts[key]
        if isinstance(value, Absent):
            return None
        found = comparable(value)
        return found if isinstance(found, frozenset) else None

    def interval(self, key: str) -> Interval | None:
        value = self.facts[key]
        return value if isinstance(value, Interval) else None

    def holds(self, specs: tuple[ConditionSpec, ...]) -> Truth:
        """Whether the coupon meets all conditions; one known to fail settles it, whatever is missing."""
        truths = [spec.of(self.system).holds(self.facts) for spec in specs]
        return min(truths, key=lambda t: t.value) if truths else Truth.YES


@dataclass(frozen=True)
class Kind:
    schema: Callable[[str], Mapping[str, Column]]
    make: Callable[[Tested], list[Limit]]


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


def _share_of_production(tested: Tested) -> list[Limit]:
    """The test held at least a share of the production total, so production is at most tested / share."""
    found = tested.interval(tested.row.variable)
    if found is None or found.high is None:
        return tested.undetermined(tested.row.variable)
    return [tested.limit(Interval(None, found.high * 100 / tested.row.params["percent"]))]


def _floor(tested: Tested) -> list[Limit]:
    """A lowest value: the tested one or a ceiling of the code, whichever is smaller; thin coupons by a factor."""
    found = tested.interval(tested.row.variable)
    if found is None or found.low is None:
        return tested.undetermined(tested.row.variable)
    params, system = tested.row.params, tested.system
    if found.low < params["thin_below"].of(system):
        return [tested.limit(Interval(found.low * params["thin_factor"], None))]
    return [tested.limit(Interval(min(found.low, params["ceiling"].of(system)), None))]


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


def _covers_each_side(tested: Tested) -> list[Limit]:
    """By a table of groups of metals: where one row takes both metals of the coupon, its metals may stand on
    either side in any combination; a pair that no row takes whole stands for itself alone."""
    pairs = tested.choices("p_pair")
    if pairs is None:
        needs = [k for k in ("p_number_a", "p_number_b") if tested.facts[k] is Absent.MISSING]
        return tested.undetermined(*(needs or ["base_metal_a", "base_metal_b"]))
    metals = {metal for pair in pairs for metal in pair.split("|")}
    for cover in tested.edition.covers[tested.row.params["covers"]].rows:
        if metals <= cover.tested and not cover.test_when and not cover.weld_when:
            return [
                tested.limit(cover.covers, variable=side, citation=cover.citation, tested=tested.facts[side])
                for side in ("p_number_a", "p_number_b")
            ]
    return [tested.limit(pairs, variable="p_pair")]


def _band_interval(tested: Tested, table: str, value: Decimal, of: Mapping[str, Decimal]) -> tuple[Interval, object]:
    """The interval a band allows, and its citation; factors are of `value`, `high_of` names an entry of `of`."""
    band = tested.edition.bands[table].at(value, tested.system)
    columns = band.columns
    low = columns["low"].of(tested.system) if columns["low"] else None
    if columns["low_factor"] is not None:
        low = value * columns["low_factor"]
    high = columns["high"].of(tested.system) if columns["high"] else None
    if columns["high_factor"] is not None:
        high = value * columns["high_factor"]
    if columns["high_of"] is not None and columns["high_of"] in of:
        high = of[columns["high_of"]]
    return Interval(low, high), band.citation


def _band(tested: Tested) -> list[Limit]:
    """By a band table, entered with the tested value of the same variable or of the one named by `by`."""
    by = tested.row.params["by"] or tested.row.variable
    found = tested.interval(by)
    if found is None or found.high is None:
        return tested.undetermined(by)
    interval, cited = _band_interval(tested, tested.row.params["bands"], found.high, {})
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


def _coupon_thicknesses(tested: Tested) -> tuple[Interval, Interval] | None:
    """Lower and upper thickness of the coupon's two sides."""
    thinner, thicker = tested.interval("thickness_thinner"), tested.interval("thickness_thicker")
    return None if thinner is None or thicker is None else (thinner, thicker)


def _groove_thickness(tested: Tested) -> list[Limit]:
    """Base-metal thickness from the coupon's, thinner and thicker side each. A coupon of unlike thickness in
    one P-Number counts by its thicker side, one of two P-Numbers by each side on its own."""
    sides, pairs = _coupon_thicknesses(tested), tested.choices("p_pair")
    if sides is None or pairs is None:
        needs = [k for k in ("thickness_a", "thickness_b") if tested.facts[k] is Absent.MISSING]
        return tested.undetermined(*(needs or ["p_number_a", "p_number_b"]))
    thinner, thicker = sides
    assert thinner.high is not None and thicker.high is not None
    table = tested.row.params["bands"]
    if thinner == thicker or all(len(set(pair.split("|"))) == 1 for pair in pairs):
        interval, cited = _band_interval(tested, table, thicker.high, {})
        settings = {"citation": cited, "tested": thicker}
        return [
            limit for side in ("thinner", "thicker")
            for limit in _with_freed_upper_end(tested, interval, side, {**settings, "variable": f"thickness_{side}"})
        ]
    return _sides_apart(tested, table)


def _with_freed_upper_end(tested: Tested, interval: Interval, side: str, settings: dict[str, object]) -> list[Limit]:
    """The interval as one limit; where rows free its upper end, the lower end alone, and the upper end
    unless the weld meets what those rows ask."""
    exemptions = []
    for row in tested.edition.procedure:
        if row.rule != "frees_upper_thickness" or side not in row.params["sides"] or tested.process not in row.standing:
            continue
        if tested.holds(row.test_when) is Truth.YES:
            if not row.weld_when:
                return [tested.limit(Interval(interval.low, None), **{**settings, "citation": row.citation, "because": row.because})]
            exemptions.append(tested.conditions(row.weld_when))
    if not exemptions:
        return [tested.limit(interval, **settings)]
    return [
        tested.limit(Interval(interval.low, None), **settings),
        tested.limit(Interval(None, interval.high), unless=tuple(exemptions), **settings),
    ]


def _sides_apart(tested: Tested, table: str) -> list[Limit]:
    """Limits per side for a coupon of two P-Numbers and two thicknesses: each side of the weld is held
    against the coupon side of its own P-Number, so a weld with the sides swapped is judged alike."""
    limits = []
    for tested_side in ("a", "b"):
        thickness, metal = tested.interval(f"thickness_{tested_side}"), tested.choices(f"p_number_{tested_side}")
        assert thickness is not None and thickness.high is not None and metal is not None
        interval, cited = _band_interval(tested, table, thickness.high, {})
        for side in ("a", "b"):
            when = (*tested.conditions(tested.row.weld_when), Condition(f"p_number_{side}", metal))
            limits.append(tested.limit(interval, variable=f"thickness_{side}", citation=cited, when=when, tested=thickness))
    return limits


def _frees_upper_thickness(tested: Tested) -> list[Limit]:
    """Limits nothing by itself: `_groove_thickness` reads these rows and lifts the upper end it would set."""
    return []


def _deposit_thickness(tested: Tested) -> list[Limit]:
    """Deposit from the tested deposit; thick deposits may go as far as the base metal may."""
    deposit, sides = tested.interval("deposit_thickness"), _coupon_thicknesses(tested)
    if deposit is None or deposit.high is None:
        return tested.undetermined("deposit_thickness")
    if sides is None:
        return tested.undetermined("thickness_a", "thickness_b")
    thick = sides[1].high
    assert thick is not None
    base, _ = _band_interval(tested, tested.row.params["bands"], thick, {})
    of = {} if base.high is None else {"base_metal": base.high}
    interval, cited = _band_interval(tested, tested.row.params["deposit_bands"], deposit.high, of)
    return [tested.limit(interval, citation=cited)]


def _none(_: str) -> Mapping[str, Column]:
    return {}


def _dimension(variable: str) -> str:
    return str(registry()[variable].dimension)


def _allowance(variable: str) -> Mapping[str, Column]:
    dimension = _dimension(variable)
    return {"allowance": schema.pair("temperature_difference" if dimension == "temperature" else dimension)}


KINDS: dict[str, Kind] = {
    "same": Kind(_none, _same),
    "same_class": Kind(lambda _: {"classes": required(schema.key_lists)}, _same_class),
    "fixed": Kind(lambda _: {"allowed": required(schema.keys)}, _fixed),
    "fixed_range": Kind(lambda v: {"allowed": required(schema.pair_interval(_dimension(v)))}, _fixed_range),
    "at_least_tested": Kind(_allowance, _at_least_tested),
    "at_most_tested": Kind(_allowance, _at_most_tested),
    "within_tested": Kind(_none, _within_tested),
    "within_percent": Kind(lambda _: {"percent": required(schema.number)}, _within_percent),
    "capped": Kind(lambda _: {"factor": required(schema.number)}, _capped),
    "share_of_production": Kind(lambda _: {"percent": required(schema.number)}, _share_of_production),
    "floor": Kind(
        lambda v: {"thin_below": required(schema.pair(_dimension(v))), "thin_factor": required(schema.number),
                   "ceiling": required(schema.pair(_dimension(v)))}, _floor),
    "stated": Kind(_none, _stated),
    "unlimited": Kind(_none, _unlimited),
    "not_encoded": Kind(_none, _not_encoded),
    "covers_each_side": Kind(lambda _: {"covers": required(schema.text)}, _covers_each_side),
    "multiple_by_layers": Kind(
        lambda v: {"factor": required(schema.number), "free_from": required(schema.pair(_dimension(v))),
                   "free_layers": required(schema.whole)}, _multiple_by_layers),
    "covers": Kind(lambda _: {"covers": required(schema.text), "tested": schema.known_variable, "itself": schema.yes_no}, _covers),
    "band": Kind(lambda _: {"bands": required(schema.text), "by": schema.known_variable}, _band),
    "groove_thickness": Kind(lambda _: {"bands": required(schema.text)}, _groove_thickness),
    "frees_upper_thickness": Kind(lambda _: {"sides": required(schema.keys)}, _frees_upper_thickness),
    "deposit_thickness": Kind(
        lambda _: {"bands": required(schema.text), "deposit_bands": required(schema.text)}, _deposit_thickness),
}

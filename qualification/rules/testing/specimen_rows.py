"""Rows of specimens.toml and acceptance.toml as the rules use them; `specimen_tables.py` and
`testing/acceptance/tables.py` read them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from ..core.findings import Citation
from ..tabular.schema import ConditionSpec, Pair, PairInterval
from .results import ResultKind

Count = Mapping[ResultKind, int]


@dataclass(frozen=True)
class MetalTest:
    """Metals and fillers a bend row is for; everything stated has to hold."""

    one_side: frozenset[str] | None
    """One side is of one of these groups ..."""
    other_side: frozenset[str] | None
    """... and the other side one of these."""
    f_any: frozenset[str] | None
    """Some filler in the coupon has one of these F-Numbers."""


@dataclass(frozen=True)
class TestsRow:
    __test__ = False  # not a test class, whatever pytest makes of the name

    side: str
    weld: str
    group: str
    optional: bool
    """True for a group that only some coupons have; otherwise one of its rows has to fit."""
    choice: str | None
    """The row is for coupons on whose record this alternative was chosen (`transverse`, `longitudinal`)."""
    when: tuple[ConditionSpec, ...]
    coupon_thickness: PairInterval | None
    weld_metal: PairInterval | None
    any_of: tuple[Count, ...]
    """Empty where the code asks tests here that the tables do not hold."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class VolumetricRow:
    side: str
    kinds: tuple[ResultKind, ...]
    instead_of: str
    """Group of tests it may stand in for."""
    when: tuple[ConditionSpec, ...]
    unless: tuple[tuple[ConditionSpec, ...], ...]
    because: str
    citation: Citation


@dataclass(frozen=True)
class MethodRow:
    kind: ResultKind
    coupon_thickness: PairInterval
    because: str
    citation: Citation


@dataclass(frozen=True)
class ExtraRow:
    side: str
    weld: str
    kinds: frozenset[ResultKind]
    because: str
    citation: Citation


@dataclass(frozen=True)
class SpecimenRow:
    kinds: frozenset[ResultKind]
    metals: tuple[MetalTest, ...]
    """Any one is enough; empty for all metals."""
    coupon_thickness: PairInterval | None
    thickness: Pair | None
    """`None`: as thick as the coupon."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class PrintedJig:
    """Jig dimensions as the figure prints them for one thickness of specimen; a thicker specimen is not bent
    this way."""

    thickness: Pair
    a: Pair
    b: Pair | None
    """With `c` and `d` left out where the code gives the former only."""
    c: Pair | None
    d: Pair | None


@dataclass(frozen=True)
class FormerRow:
    metals: tuple[MetalTest, ...]
    elongation: PairInterval | None
    """Lower specified elongation of the two base metals; a row without `metals` and with `unstated` also
    serves coupons whose record does not state it."""
    unstated: bool
    printed: PrintedJig | None
    """`None`: the former follows from the elongation."""
    clearance: Pair | None
    """What the die opening has above former and two specimen thicknesses, for other specimen thicknesses."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class WidthRow:
    product_form: str
    diameter: PairInterval | None
    width: Pair
    because: str
    citation: Citation


@dataclass(frozen=True)
class RetestRow:
    """How many coupons a retest takes, each with all its tests, or how many specimens take the place of each
    that failed."""

    side: str
    retest: str
    """Of a welder `immediate`, or `trained` after more training or practice; of a procedure `coupon` or
    `specimens`."""
    coupons: int
    """1 where the coupon of the failed test gives further specimens."""
    for_each: int | None
    """Further specimens for each that failed."""
    when: tuple[ConditionSpec, ...]
    states: str | None
    """A variable that the record has to state before the retest counts."""
    because: str
    citation: Citation


@dataclass(frozen=True)
class SpecimenTables:
    tests: tuple[TestsRow, ...]
    retests: tuple[RetestRow, ...]
    volumetric: tuple[VolumetricRow, ...]
    methods: Mapping[ResultKind, MethodRow]
    extras: tuple[ExtraRow, ...]
    specimens: tuple[SpecimenRow, ...]
    formers: tuple[FormerRow, ...]
    widths: tuple[WidthRow, ...]


@dataclass(frozen=True)
class CheckRow:
    check: str
    """Name in `checks.CHECKS`."""
    kinds: frozenset[ResultKind]
    side: str | None
    when: tuple[ConditionSpec, ...]
    coupon_thickness: PairInterval | None
    most: Pair | None
    least: Pair | None
    share: Decimal | None
    divisor: Decimal | None
    count: int | None
    within: Pair | None
    times: Decimal | None
    gap: Decimal | None
    hardest: int | None
    because: str
    citation: Citation

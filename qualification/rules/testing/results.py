"""Results of tests on a coupon, as measured. What follows from a measurement is worked out here, never
typed in.

Lengths are in mm, loads in N, impact energies in J, temperatures in °F: the canonical units of
`quantities.py`, into which a record's own units convert exactly. A strength is worked out in the unit
system of the record, since a code gives its minimum in both and rounds the two apart. `None` says nobody
stated it; it is never taken for yes, no or zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum
from typing import ClassVar

from ..core.quantities import DIMENSIONS, SI, US, from_canonical

PI = Decimal("3.14159265358979323846264338328")


class ResultKind(StrEnum):
    """A kind of test result, what one and several of them are called, and how a specimen is named until
    somebody gives it another name."""

    words: str
    several: str
    stem: str

    def __new__(cls, key: str, words: str = "", several: str = "", stem: str = "") -> ResultKind:
        kind = str.__new__(cls, key)
        kind._value_, kind.words, kind.several, kind.stem = key, words, several, stem
        return kind

    TENSION = "tension", "tension test", "tension tests", "T"
    FACE_BEND = "face_bend", "face bend", "face bends", "FB"
    ROOT_BEND = "root_bend", "root bend", "root bends", "RB"
    SIDE_BEND = "side_bend", "side bend", "side bends", "SB"
    LONGITUDINAL_FACE_BEND = (
        "longitudinal_face_bend",
        "longitudinal face bend",
        "longitudinal face bends",
        "LFB",
    )
    LONGITUDINAL_ROOT_BEND = (
        "longitudinal_root_bend",
        "longitudinal root bend",
        "longitudinal root bends",
        "LRB",
    )
    MACRO = "macro", "macro section", "macro sections", "M"
    FRACTURE = "fracture", "fracture test", "fracture tests", "F"
    VISUAL = "visual", "visual examination", "visual examinations", "VT"
    RADIOGRAPH = "radiograph", "radiograph", "radiographs", "RT"
    ULTRASONIC = "ultrasonic", "ultrasonic examination", "ultrasonic examinations", "UT"
    IMPACT = "impact", "impact set", "impact sets", "I"
    PENETRANT = "penetrant", "penetrant examination", "penetrant examinations", "PT"
    MAGNETIC = "magnetic", "magnetic particle examination", "magnetic particle examinations", "MT"
    HARDNESS = "hardness", "hardness survey", "hardness surveys", "H"

    def counted(self, number: int) -> str:
        """`1 side bend`, `4 side bends`."""
        return f"{number} {self.words if number == 1 else self.several}"


BENDS = frozenset(
    {
        ResultKind.FACE_BEND,
        ResultKind.ROOT_BEND,
        ResultKind.SIDE_BEND,
        ResultKind.LONGITUDINAL_FACE_BEND,
        ResultKind.LONGITUDINAL_ROOT_BEND,
    }
)
VOLUMETRIC = frozenset({ResultKind.RADIOGRAPH, ResultKind.ULTRASONIC})
SURFACE = frozenset({ResultKind.PENETRANT, ResultKind.MAGNETIC})


class SpecimenForm(StrEnum):
    REDUCED = "reduced"
    """Flat reduced section: width and thickness."""
    TURNED = "turned"
    """Round, turned: diameter."""
    FULL_SECTION = "full_section"
    """A whole length of tube: outside diameter and bore."""


class Broke(StrEnum):
    """Where a tension specimen broke."""

    BASE_METAL = "base_metal"
    WELD = "weld"
    FUSION_LINE = "fusion_line"
    HEAT_AFFECTED_ZONE = "heat_affected_zone"
    UNKNOWN = "unknown"

    @property
    def words(self) -> str:
        return {
            Broke.BASE_METAL: "in the base metal",
            Broke.WELD: "in the weld",
            Broke.FUSION_LINE: "at the fusion line",
            Broke.HEAT_AFFECTED_ZONE: "in the heat-affected zone",
            Broke.UNKNOWN: "at a place nobody recorded",
        }[self]


class Cladding(StrEnum):
    """What became of the cladding of an Alclad metal on a tension specimen."""

    NONE = "none"
    """The metal is not clad."""
    INCLUDED = "included"
    REMOVED = "removed"


@dataclass(frozen=True)
class Tension:
    specimen: str
    load: Decimal | None
    """Highest load, N."""
    form: SpecimenForm = SpecimenForm.REDUCED
    width: Decimal | None = None
    thickness: Decimal | None = None
    diameter: Decimal | None = None
    bore: Decimal | None = None
    broke: Broke = Broke.UNKNOWN
    strip_of: str = ""
    """Name of the set when one tension test of a thick coupon is made up of several strips."""
    cladding: Cladding = Cladding.NONE
    position: str = ""
    failure: str = ""
    """How it failed, such as ductile, in the laboratory's words; nothing is judged by it."""
    remarks: str = ""
    stated_strength: Decimal | None = None
    """Strength by the laboratory's report, MPa; it counts where load or section is not stated."""
    yield_strength: Decimal | None = None
    elongation: Decimal | None = None
    kind: ClassVar[ResultKind] = ResultKind.TENSION

    @property
    def dimensions(self) -> tuple[str, ...]:
        """The fields the cross-section follows from."""
        return {
            SpecimenForm.REDUCED: ("width", "thickness"),
            SpecimenForm.TURNED: ("diameter",),
            SpecimenForm.FULL_SECTION: ("diameter", "bore"),
        }[self.form]

    @property
    def area(self) -> Decimal | None:
        """Cross-section before the test in mm²; `None` while a measurement is missing."""
        sizes = [getattr(self, name) for name in self.dimensions]
        if any(size is None for size in sizes):
            return None
        if self.form is SpecimenForm.REDUCED:
            return sizes[0] * sizes[1]
        bore = sizes[1] if self.form is SpecimenForm.FULL_SECTION else Decimal(0)
        return PI / 4 * (sizes[0] ** 2 - bore**2)

    def area_in(self, system: str) -> Decimal | None:
        """Cross-section in in² or mm²."""
        return self.area if self.area is None or system == SI else self.area / _MM2_PER_IN2

    def strength(self, system: str) -> Decimal | None:
        """As worked out, else as the report states it; `None` while both are missing."""
        worked_out = self.worked_out(system)
        if worked_out is not None or self.stated_strength is None:
            return worked_out
        if system != US:
            return self.stated_strength
        return from_canonical(self.stated_strength, DIMENSIONS["stress"].us, DIMENSIONS["stress"]).quantize(
            Decimal("0.01")
        )

    def worked_out(self, system: str) -> Decimal | None:
        """Highest load over cross-section in psi or MPa, unrounded; `None` while a measurement is missing."""
        area = self.area_in(system)
        if self.load is None or not area:
            return None
        with localcontext() as context:
            context.prec = 40
            load = (
                from_canonical(self.load, DIMENSIONS["force"].us, DIMENSIONS["force"])
                if system == US
                else self.load
            )
            return load / area


_MM2_PER_IN2 = Decimal("25.4") ** 2


class Cause(StrEnum):
    """What an opening in a bend comes from, where the fracture face shows it."""

    UNKNOWN = "unknown"
    LACK_OF_FUSION = "lack_of_fusion"
    SLAG = "slag"
    OTHER_INTERNAL = "other_internal"

    @property
    def internal(self) -> bool:
        return self is not Cause.UNKNOWN


@dataclass(frozen=True)
class Opening:
    """An open defect on a bent specimen."""

    length: Decimal
    corner: bool = False
    """True at a corner of the specimen, false on its convex face."""
    cause: Cause = Cause.UNKNOWN


@dataclass(frozen=True)
class Bend:
    specimen: str
    kind: ResultKind
    former: Decimal | None
    """Diameter of the former (mandrel) used."""
    thickness: Decimal | None
    weld_in_bend: bool | None = None
    """Weld and heat-affected zone lie wholly within the bent part."""
    broken: bool | None = False
    """The specimen came apart before it was bent through."""
    openings: tuple[Opening, ...] = ()
    strip_of: str = ""
    """Name of the set when one side bend of a thick coupon is made up of several strips."""
    position: str = ""
    remarks: str = ""
    """What the laboratory adds in words; nothing is judged by it."""

    def __post_init__(self) -> None:
        if self.kind not in BENDS:
            raise ValueError(f"{self.kind} is not a kind of bend")


@dataclass(frozen=True)
class Macro:
    specimen: str
    cracks: bool | None
    complete_fusion: bool | None
    leg_a: Decimal | None = None
    leg_b: Decimal | None = None
    root_flaw: Decimal | None = None
    """Longest linear flaw at the root; zero when there is none."""
    concavity: Decimal | None = None
    convexity: Decimal | None = None
    position: str = ""
    kind: ClassVar[ResultKind] = ResultKind.MACRO

    @property
    def leg_difference(self) -> Decimal | None:
        return None if self.leg_a is None or self.leg_b is None else abs(self.leg_a - self.leg_b)

    @property
    def profile(self) -> Decimal | None:
        """The larger of concavity and convexity among those stated; a fillet shows one of the two."""
        return max((p for p in (self.concavity, self.convexity) if p is not None), default=None)


@dataclass(frozen=True)
class Fracture:
    specimen: str
    bent_flat: bool | None
    """It bent flat upon itself and did not break; there is no broken face to look at then."""
    cracks: bool | None = None
    incomplete_root_fusion: bool | None = None
    flaws: tuple[Decimal, ...] | None = None
    """Length of each inclusion and pore on the broken face; empty when there is none."""
    section_length: Decimal | None = None
    """Length of the quarter section of a pipe coupon."""
    position: str = ""
    kind: ClassVar[ResultKind] = ResultKind.FRACTURE

    @property
    def flaw_sum(self) -> Decimal | None:
        return None if self.flaws is None else sum(self.flaws, Decimal(0))


@dataclass(frozen=True)
class Visual:
    specimen: str
    cracks: bool | None
    complete_fusion: bool | None
    complete_penetration: bool | None = None
    craters_filled: bool | None = None
    undercut: Decimal | None = None
    """Depth of the deepest undercut; zero when there is none."""
    reinforcement: Decimal | None = None
    """Height of the weld metal above the plate, at its highest."""
    position: str = ""
    kind: ClassVar[ResultKind] = ResultKind.VISUAL


class IndicationType(StrEnum):
    CRACK = "crack"
    LACK_OF_FUSION = "lack_of_fusion"
    LACK_OF_PENETRATION = "lack_of_penetration"
    LINEAR = "linear"
    """Slag or another indication more than three times as long as wide."""
    ROUNDED = "rounded"


@dataclass(frozen=True)
class Indication:
    type: IndicationType
    length: Decimal
    """Length, or largest dimension of a rounded one."""
    at: Decimal | None = None
    """Where it starts along the weld, measured from one end; needed to judge linear ones lying in a row."""


@dataclass(frozen=True)
class Volumetric:
    """One radiographic or ultrasonic examination of a coupon."""

    specimen: str
    kind: ResultKind
    accepted: bool | None
    """What the report says of the whole weld."""
    report: str = ""
    examined_length: Decimal | None = None
    whole_circumference: bool | None = None
    """Pipe only."""
    coupons: int | None = None
    """Small pipe: how many coupons in a row were examined."""
    indications: tuple[Indication, ...] = ()
    position: str = ""

    def __post_init__(self) -> None:
        if self.kind not in VOLUMETRIC:
            raise ValueError(f"{self.kind} is not a volumetric examination")


@dataclass(frozen=True)
class Surface:
    """One examination of the whole surface of a weld for cracks and pores."""

    specimen: str
    kind: ResultKind
    accepted: bool | None
    """What the report says of the whole weld."""
    report: str = ""
    position: str = ""

    def __post_init__(self) -> None:
        if self.kind not in SURFACE:
            raise ValueError(f"{self.kind} is not an examination of the surface")


@dataclass(frozen=True)
class Hardness:
    """Rows of indents across weld, heat-affected zone and base metal."""

    specimen: str
    highest: Decimal | None
    """The hardest indent, HV10."""
    position: str = ""
    kind: ClassVar[ResultKind] = ResultKind.HARDNESS


class Notch(StrEnum):
    WELD = "weld"
    HEAT_AFFECTED_ZONE = "heat_affected_zone"
    BASE_METAL = "base_metal"


@dataclass(frozen=True)
class Impact:
    """One set of impact specimens. Its acceptance is the referencing code's; only a minimum the record states
    is judged here."""

    specimen: str
    notch: Notch | None
    energies: tuple[Decimal, ...] = ()
    temperature: Decimal | None = None
    minimum_average: Decimal | None = None
    minimum_single: Decimal | None = None
    lateral_expansions: tuple[Decimal, ...] = ()
    position: str = ""
    kind: ClassVar[ResultKind] = ResultKind.IMPACT

    @property
    def average(self) -> Decimal | None:
        return sum(self.energies, Decimal(0)) / len(self.energies) if self.energies else None


Result = Tension | Bend | Macro | Fracture | Visual | Volumetric | Impact | Surface | Hardness


def rows_of(indications: Sequence[Indication]) -> list[Indication] | None:
    """Linear indications in order along the weld; `None` when one of several does not say where it lies."""
    linear = [i for i in indications if i.type is IndicationType.LINEAR]
    if len(linear) > 1 and any(i.at is None for i in linear):
        return None
    return sorted(linear, key=lambda i: i.at or Decimal(0))

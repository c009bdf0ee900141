"""What a coupon has to give, as frozen values: specimens, the ways to meet a requirement, and what stays
open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from ..core.facts import Facts, Side
from ..core.findings import Citation
from ..core.words import within_sentence
from ..variables.metal_systems import MetalSystem
from ..variables.registry import registry
from .bending import Die
from .results import ResultKind
from .specimen_rows import RetestRow


@dataclass(frozen=True)
class Specimen:
    """So many specimens or examinations of one kind."""

    kind: ResultKind
    number: int
    thickness: Decimal | None = None
    """Of a bend specimen, mm."""
    width: Decimal | None = None
    die: Die | None = None
    former_most: Decimal | None = None
    """The largest former it may be bent over, mm."""
    citations: tuple[Citation, ...] = ()
    because: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    former_taken: Decimal | None = None
    """The largest former that counts, mm: `former_most` to the digits formers are made to."""

    @property
    def former(self) -> Decimal | None:
        """Diameter of the former as the figure prints it."""
        return self.die.a if self.die else None


@dataclass(frozen=True)
class Alternative:
    """One way to satisfy a requirement."""

    specimens: tuple[Specimen, ...]
    citation: Citation
    because: str
    needs: tuple[str, ...] = ()
    """Variables that have to be stated before this way may be taken."""

    @property
    def words(self) -> str:
        return " and ".join(specimen.kind.counted(specimen.number) for specimen in self.specimens)


@dataclass(frozen=True)
class Requirement:
    group: str
    position: str
    """Test position whose coupon it is of; empty where the record has one coupon."""
    alternatives: tuple[Alternative, ...]
    because: str
    citation: Citation
    note: str = ""
    """Why a way that coupons of this kind often have is not open to this one."""

    @property
    def words(self) -> str:
        """`4 side bends, or 2 face bends and 2 root bends`."""
        return ", or ".join(alternative.words for alternative in self.alternatives)

    @property
    def kinds(self) -> frozenset[ResultKind]:
        return frozenset(s.kind for alternative in self.alternatives for s in alternative.specimens)


@dataclass(frozen=True)
class Open:
    """Something that cannot be told yet."""

    sentence: str
    needs: tuple[str, ...]


def to_state(needs: Iterable[str], why: str) -> Open:
    """Tests left open by entries that are missing: which to state, by label, and why."""
    keys = tuple(
        dict.fromkeys(
            k
            for need in needs
            for k in (("thickness_a", "thickness_b") if need == "thickness_thinner" else (need,))
        )
    )
    labels = " and ".join(within_sentence(registry()[key].label) for key in keys)
    return Open(f"State {labels}. {why}", keys)


@dataclass(frozen=True)
class Requirements:
    side: Side
    requirements: tuple[Requirement, ...]
    extras: frozenset[ResultKind]
    """Further kinds of result the coupon may carry; they have to pass too."""
    open: tuple[Open, ...]
    measured: Measured
    retests: tuple[RetestRow, ...] = ()
    """What a retest takes, where the test fails."""

    @property
    def needs(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(need for item in self.open for need in item.needs))

    @property
    def kinds(self) -> frozenset[ResultKind]:
        """Every kind of result the coupon takes."""
        return self.extras.union(*(r.kinds for r in self.requirements))

    def specimen(self, kind: ResultKind) -> Specimen | None:
        """How specimens of this kind are made; `None` for a kind no requirement asks."""
        for requirement in self.requirements:
            for alternative in requirement.alternatives:
                for specimen in alternative.specimens:
                    if specimen.kind is kind:
                        return specimen
        return None


@dataclass(frozen=True)
class Measured:
    """The coupon as the tables look at it."""

    joint: Facts
    lines: tuple[Facts, ...]
    thickness: Decimal | None
    """Thinner side, mm: the thickness at the weld."""
    weld_metal: Decimal | None
    """All weld metal in the coupon, mm, without reinforcement."""
    system: str
    positions: tuple[str, ...]
    metals: MetalSystem | None = None
    """The edition's system of metal groups."""
    missing: Mapping[str, tuple[str, ...]] = field(default_factory=dict, hash=False)
    """For `coupon_thickness` and `weld_metal`: the variables without which it cannot be told."""

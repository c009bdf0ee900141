"""What a test's specimens say beyond pass and fail: strength, joint efficiency, strain of a bend, and the
former that the elongation of the metal allows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from ..arithmetic import strength
from ..arithmetic.reckoned import Reckoned
from ..core.quantities import US, show_both
from ..core.values import Interval
from .results import Bend, Result, Tension
from .strength import Minimum, NoMinimum

THOUSAND = Decimal(1000)


def specimen_figures(
    results: Sequence[Result],
    minimum: Minimum | NoMinimum,
    system: str,
    elongation: Decimal | None = None,
) -> tuple[Reckoned, ...]:
    """Figures of each tension and bend specimen that states its measures. `elongation` is that of the base
    metal in percent, where the record states it."""
    rows: list[Reckoned] = []
    for result in results:
        if isinstance(result, Tension):
            rows += _tension(result, minimum, system)
        elif isinstance(result, Bend):
            rows += _bend(result, system, elongation)
    return tuple(rows)


def _tension(specimen: Tension, minimum: Minimum | NoMinimum, system: str) -> Iterable[Reckoned]:
    found = specimen.strength(system)
    if found is None:
        return
    worked_out = specimen.worked_out(system) is not None
    yield Reckoned(
        f"Strength of {specimen.specimen or 'the tension specimen'}",
        _stress(found, system),
        "Highest load by the section before the test." if worked_out else "As the report states it.",
        (),
    )
    if isinstance(minimum, Minimum) and minimum.strength > 0:
        share = strength.joint_efficiency(found, minimum.strength)
        yield Reckoned(
            f"Joint efficiency of {specimen.specimen or 'the tension specimen'}",
            f"{share:.1f}\u202f%",
            f"Of the {_stress(minimum.strength, system)} the code asks of {minimum.words}"
            f"{f' ({minimum.citation.clause})' if minimum.citation else ''}; of the metal unwelded it may be "
            "less.",
            (),
        )


def _bend(specimen: Bend, system: str, elongation: Decimal | None) -> Iterable[Reckoned]:
    if specimen.former is None or specimen.thickness is None or specimen.thickness <= 0:
        return
    times = specimen.former / specimen.thickness
    yield Reckoned(
        f"Strain of {specimen.specimen or 'the bend'}",
        f"{strength.bend_strain(specimen.thickness, specimen.former):.1f}\u202f%",
        f"100 t/(A + t): former of {times:.2f} times the thickness.",
        (),
    )
    if elongation is not None and 0 < elongation < 100:
        most = strength.former_for_strain(specimen.thickness, elongation)
        yield Reckoned(
            f"Former by elongation, {specimen.specimen or 'the bend'}",
            show_both(Interval.point(most.quantize(Decimal("0.1"))), "length", system),
            f"100 t/A5 − t, with the stated elongation of {elongation.normalize():f}\u202f%.",
            (),
        )


def _stress(value: Decimal, system: str) -> str:
    return f"{value / THOUSAND:.1f} ksi" if system == US else f"{value:.0f} MPa"

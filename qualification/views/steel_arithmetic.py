"""Carbon equivalents, preheat and cooling time of a steel: entries in the address, nothing is stored."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.models import Shop, UnitSystem
from qualification.roles import reader_required
from qualification.rules.arithmetic.carbon import ELEMENTS
from qualification.rules.arithmetic.cooling import shape_factors
from qualification.rules.arithmetic.steel_figures import SteelWeld, steel_figures
from qualification.rules.core.quantities import DIMENSIONS, QuantityError, from_canonical, read_quantity

MOST_PERCENT, MOST_HYDROGEN = Decimal(40), Decimal(100)
QUANTITIES = (
    ("thickness", "Thickness", "length", "Of the plate the weld lies on."),
    ("combined", "Combined thickness", "length", "Sum of the parts that lead heat away; method A alone."),
    ("heat_input", "Heat input", "heat_input", "With the thermal efficiency in it."),
    ("start", "Temperature of the plate", "temperature", "Where the pass begins; 20 °C (68 °F) when blank."),
)


@reader_required
def steel_arithmetic(request: HttpRequest) -> HttpResponse:
    """The figures that follow from what is entered, and what the others need."""
    system = request.GET.get("units", "")
    if system not in UnitSystem.values:
        system = UnitSystem.US if Shop.current().inch_first else UnitSystem.SI
    problems: list[tuple[str, str]] = []
    weld = _weld(request.GET, system, problems)
    figures = steel_figures(weld, system)
    shapes = [(each.shape, each.label) for each in shape_factors()]
    return render(
        request,
        "qualification/steel_arithmetic.html",
        {
            "elements": [(name, request.GET.get(name, "")) for name in ELEMENTS],
            "quantities": [
                (key, label, request.GET.get(key, ""), words, DIMENSIONS[dimension].unit_for(system).symbol)
                for key, label, dimension, words in QUANTITIES
            ],
            "hydrogen": request.GET.get("hydrogen", ""),
            "shapes": shapes,
            "shape": weld.shape,
            "units": system,
            "systems": UnitSystem.choices,
            "rows": figures.rows,
            "needs": figures.needs if request.GET else [],
            "problems": problems,
        },
    )


def _weld(sent: Mapping[str, str], system: str, problems: list[tuple[str, str]]) -> SteelWeld:
    steel = {
        name: value
        for name in ELEMENTS
        if (value := _number(sent, name, name, MOST_PERCENT, problems, zero=True)) is not None
    }
    read = {
        key: _quantity(sent, key, label, dimension, system, problems)
        for key, label, dimension, _ in QUANTITIES
    }
    shapes = {each.shape for each in shape_factors()}
    return SteelWeld(
        steel,
        read["thickness"],
        read["combined"],
        _number(sent, "hydrogen", "Diffusible hydrogen", MOST_HYDROGEN, problems),
        read["heat_input"],
        Decimal(20) if read["start"] is None else read["start"],
        sent["shape"] if sent.get("shape", "") in shapes else "bead_on_plate",
    )


def _number(
    sent: Mapping[str, str],
    key: str,
    label: str,
    most: Decimal,
    problems: list[tuple[str, str]],
    zero: bool = False,
) -> Decimal | None:
    text = sent.get(key, "").strip().replace(",", ".").removesuffix("%").strip()
    if not text:
        return None
    try:
        value = Decimal(text)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or not 0 <= value <= most or (value == 0 and not zero):
        problems.append((key, f"{label}: enter a number from 0 to {most}."))
        return None
    return value


def _quantity(
    sent: Mapping[str, str],
    key: str,
    label: str,
    dimension: str,
    system: str,
    problems: list[tuple[str, str]],
) -> Decimal | None:
    """In mm, kJ/mm or °C, as the formulas take it."""
    text = sent.get(key, "").strip()
    if not text:
        return None
    try:
        value = read_quantity(text, dimension, system, many=False).interval.low
    except QuantityError as error:
        problems.append((key, f"{label}: {error}"))
        return None
    assert value is not None
    made = from_canonical(value, DIMENSIONS[dimension].si, DIMENSIONS[dimension])
    if dimension != "temperature" and made <= 0:
        problems.append((key, f"{label}: enter a number above zero."))
        return None
    return made

"""Sheet by its gauge, which is another thickness in each metal: a gauge without its metal asks which."""

from __future__ import annotations

import re
from decimal import Decimal

from ..core.quantities import QuantityError
from .sizes import sizes

_INCH = Decimal("25.4")
_GAUGE_WORDS = {
    **dict.fromkeys(("steel", "carbon steel", "mild steel", "cs", "hr", "cr", "hrs", "crs", "msg"), "steel"),
    **dict.fromkeys(("galvanized", "galvanised", "galv", "galv.", "galvanized steel", "gi"), "galvanized"),
    **dict.fromkeys(("stainless", "stainless steel", "ss"), "stainless"),
    **dict.fromkeys(("aluminum", "aluminium", "alum", "alum.", "al", "b&s", "awg"), "aluminum"),
}
_GAUGE_TEXT = re.compile(
    r"(?:(?P<first>\d{1,2}) ?(?:ga|gauge|gage)\b\.?|(?:ga|gauge|gage)\b\.? ?(?P<last>\d{1,2}))"
    r"(?: (?P<metal>.*))?"
)


def is_gauge(text: str) -> bool:
    """True for a sheet by its gauge, with or without its metal: `10 ga`, `#12 gauge stainless`."""
    return bool(_GAUGE_TEXT.fullmatch(_gauge_form(text)))


def _gauge_form(text: str) -> str:
    return " ".join(text.lower().replace("#", "").replace(",", " ").split()).removeprefix("no. ")


def with_metal(text: str, metal: str) -> str:
    """The gauge with the metal of its sheet put behind it, unless one is written there."""
    match = _GAUGE_TEXT.fullmatch(_gauge_form(text))
    return f"{text} {metal}" if match and not match["metal"] else text


def read_gauge(text: str) -> Decimal | None:
    """Thickness of a sheet in mm; `None` when the text is no gauge. Raises QuantityError where the metal is
    left open or has no such gauge."""
    match = _GAUGE_TEXT.fullmatch(_gauge_form(text))
    if not match:
        return None
    number, written = int(match["first"] or match["last"]), (match["metal"] or "").strip()
    known = {metal: sheets[number] for metal, sheets in sizes().gauges.items() if number in sheets}
    if not known:
        raise QuantityError(
            f"“{text.strip()}” is not a gauge of sheet known here. Write the thickness itself."
        )
    if written and written not in _GAUGE_WORDS:
        raise QuantityError(
            f"“{written}” is not a sheet whose gauges are known. Write steel, galvanized, stainless or"
            " aluminum, or the thickness itself."
        )
    metal = _GAUGE_WORDS.get(written, "")
    if metal in known:
        return known[metal] * _INCH
    said = ", ".join(f"{inches} in of {name}" for name, inches in known.items())
    raise QuantityError(
        f"“{text.strip()}” can be {said}. Write which, for example {number} ga {next(iter(known))}."
    )

"""The current from which metal sprays, and the volts and amperes usual in a mode of transfer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from ..core.gases import components, read_gas
from ..core.values import Interval
from ..materials.catalogue import Origin
from .burn_off import same_size
from .engineering import engineering
from .wire import NotTabled


@dataclass(frozen=True)
class TransitionCurrent:
    amps: Decimal
    diameter: Decimal
    """Of the row, in mm."""
    origin: Origin
    is_least: bool = False
    """It is that of argon, and the helium in the gas raises it."""


@dataclass(frozen=True)
class UsualSetting:
    volts: Interval
    amps: Interval
    diameter: Decimal
    origin: Origin


def transition_current(family: str, diameter: Decimal, gas: str) -> TransitionCurrent:
    """The least current at which wire of that size (mm) sprays in that gas (a key of `gases.py`).

    A size between two tabled ones is interpolated. Raises NotTabled for a gas or size that is not tabled:
    another gas moves the transition, and above about 20 % CO₂ there is no spray at all. Of argon with helium
    the current of argon is given as the least.
    """
    rows = [r for r in engineering().table("spray") if family in r["families"] and gas in r["gases"]]
    if not rows and set(components(gas)) == {"Ar", "He"}:
        return replace(transition_current(family, diameter, read_gas("100Ar")), is_least=True)
    if not rows:
        raise NotTabled(f"no transition current is tabled for {family} in this gas")
    near = same_size(rows, diameter)
    if near:
        return TransitionCurrent(near[0]["amps"], near[0]["diameter"], near[0].origin)
    rows.sort(key=lambda row: row["diameter"])
    for below, above in zip(rows, rows[1:], strict=False):
        if below["diameter"] < diameter < above["diameter"]:
            share = (diameter - below["diameter"]) / (above["diameter"] - below["diameter"])
            return TransitionCurrent(
                below["amps"] + share * (above["amps"] - below["amps"]), diameter, below.origin
            )
    raise NotTabled(f"no transition current is tabled for {family} wire of {diameter.normalize():f} mm")


def usual_setting(family: str, diameter: Decimal, mode: str, gas: str | None) -> UsualSetting:
    """Usual volts and amperes of a mode for that size (mm). A row that names gases speaks of those only.

    Raises NotTabled.
    """
    rows = [
        row
        for row in engineering().table("setting")
        if family in row["families"]
        and mode in row["modes"]
        and (row["gases"] is None or gas in row["gases"])
    ]
    for row in same_size(rows, diameter):
        return UsualSetting(row["volts"], row["amps"], row["diameter"], row.origin)
    raise NotTabled(f"no usual setting is tabled for {family} wire of {diameter.normalize():f} mm in {mode}")


def current_range(family: str, diameter: Decimal) -> tuple[Interval, Origin]:
    """Amperes a wire of that size (mm) is used at, whatever the mode. Raises NotTabled."""
    for row in same_size(
        [r for r in engineering().table("current_range") if r["family"] == family], diameter
    ):
        return row["amps"], row.origin
    raise NotTabled(f"no current range is tabled for {family} wire of {diameter.normalize():f} mm")

"""Gas mixtures by composition: how the trade writes them, one canonical spelling, nothing inferred.

A mixture's key lists its components by falling share: `Ar`, `Ar 75 / CO2 25`, `none`. Two mixtures are the
same when their keys are equal; tolerances of a gas specification are a matter for the rules, not for here.
"""

from __future__ import annotations

import re
from decimal import Decimal

COMPONENTS = {
    "AR": "Ar",
    "ARGON": "Ar",
    "HE": "He",
    "HELIUM": "He",
    "CO2": "CO2",
    "O2": "O2",
    "OXYGEN": "O2",
    "H2": "H2",
    "HYDROGEN": "H2",
    "N2": "N2",
    "NITROGEN": "N2",
}
INERT = frozenset({"Ar", "He"})
NO_GAS = "none"


class GasError(ValueError):
    """The text does not name a gas; the message says how to write one."""


_TOKEN = re.compile(
    r"(?:(?P<before>\d+(?:[.,]\d+)?)\s*%?\s*)?(?P<name>argon|helium|oxygen|hydrogen|nitrogen|co2|o2|h2|n2|ar|he)"
    r"(?:\s*(?P<after>\d+(?:[.,]\d+)?)\s*%?)?",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r" ?[/+;] ?| ?, ?(?=\D)| - |(?<=[A-Za-z2%])-(?=[\dA-Za-z])| and ")


def read_gas(text: str) -> str:
    """The key of a mixture written as `Ar`, `100% Ar`, `75Ar/25CO2`, `Ar + 2 % O2` or `none`.

    One component may be left without a share and takes the rest. Raises GasError when a component is not
    known or the shares do not add up to 100 %.
    """
    tidy = " ".join(text.replace("₂", "2").split())
    if tidy.lower() in ("none", "no gas", "no"):
        return NO_GAS
    shares: dict[str, Decimal | None] = {}
    for part in _BETWEEN.split(tidy):
        match = _TOKEN.fullmatch(part.strip())
        if not match or (match["before"] and match["after"]):
            raise GasError(
                f"“{text.strip()}” does not name a gas. State the composition, like 100Ar, 75Ar/25CO2"
                " or none."
            )
        name = COMPONENTS[match["name"].upper()]
        if name in shares:
            raise GasError(f"“{text.strip()}” names {name} twice; give each component once.")
        share = match["before"] or match["after"]
        shares[name] = Decimal(share.replace(",", ".")) if share else None
    return _key(shares, text)


def _key(shares: dict[str, Decimal | None], text: str) -> str:
    stated = sum((s for s in shares.values() if s is not None), Decimal(0))
    open_ones = [name for name, share in shares.items() if share is None]
    if len(open_ones) > 1:
        raise GasError(
            f"“{text.strip()}” leaves the share of {' and '.join(open_ones)} open; give the percentages."
        )
    if open_ones:
        shares[open_ones[0]] = 100 - stated
    elif stated != 100:
        raise GasError(f"The shares in “{text.strip()}” add up to {stated} %, not 100 %.")
    full = {name: share for name, share in shares.items() if share is not None}
    if any(share <= 0 for share in full.values()):
        raise GasError(
            f"The shares in “{text.strip()}” leave nothing for one component; they must add up to 100 %."
        )
    ordered = sorted(full.items(), key=lambda item: (-item[1], item[0]))
    return ordered[0][0] if len(ordered) == 1 else " / ".join(f"{n} {s.normalize():f}" for n, s in ordered)


def components(key: str) -> dict[str, Decimal]:
    """Shares in percent by component; empty for `none`."""
    if key == NO_GAS:
        return {}
    if "/" not in key:
        return {key: Decimal(100)}
    return {name: Decimal(share) for name, share in (part.split(" ") for part in key.split(" / "))}


def is_inert(key: str) -> bool:
    """True for argon, helium and their mixtures; False for `none` and for anything with an active part."""
    parts = components(key)
    return bool(parts) and set(parts) <= INERT


def label(key: str) -> str:
    """How a mixture is printed: `100 % Ar`, `75 % Ar + 25 % CO₂`, `No gas`."""
    parts = components(key)
    if not parts:
        return "No gas"
    return " + ".join(f"{share:f} % {name.replace('2', '₂')}" for name, share in parts.items())

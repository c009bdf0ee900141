"""The symbol and the full designation that ISO 14175 gives to a gas mixture, from its composition alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from ..core.findings import Citation, Source
from ..core.gases import NO_GAS, components, label
from ..core.values import Interval
from ..tabular import schema
from ..tabular.schema import CITED, Book, Column, TablePlace, read_row, required
from .terms import FOLDER, catalogue_file, catalogue_sources

FILE = "iso_gases.toml"
OTHER = "Z"
"""Group of everything the table does not hold."""
LETTERS = {"Ar": "Ar", "He": "He", "CO2": "C", "O2": "O", "N2": "N", "H2": "H"}


@dataclass(frozen=True)
class GasGroup:
    symbol: str
    parts: Mapping[str, Interval]
    balance: frozenset[str]
    citation: Citation

    def holds(self, shares: Mapping[str, Decimal]) -> bool:
        others = set(shares) - set(self.parts)
        return (
            set(self.parts) <= set(shares)
            and others <= self.balance
            and (bool(others) or not self.balance)
            and all(Interval.point(shares[part]).within(span) for part, span in self.parts.items())
        )


def _spans(raw: Any, place: TablePlace) -> dict[str, Interval]:
    if not isinstance(raw, dict) or not raw or set(raw) - set(LETTERS):
        raise place.fail(f"expected spans by component ({', '.join(LETTERS)}), found {raw!r}")
    found = {}
    for part, ends in raw.items():
        if (
            not isinstance(ends, dict)
            or not ends
            or set(ends) - {"at_least", "above", "up_to"}
            or {"at_least", "above"} <= set(ends)
        ):
            raise place.fail(f"expected at_least or above, and up_to, found {ends!r}")
        low = schema.number(ends.get("at_least", ends.get("above", Decimal(0))), place)
        high = schema.number(ends.get("up_to", Decimal(100)), place)
        try:
            found[part] = Interval(low, high, "above" in ends)
        except ValueError as error:
            raise place.fail(str(error)) from error
    return found


ROW: dict[str, Column] = {
    **CITED,
    "symbol": required(schema.text),
    "balance": schema.keys,
    "parts": required(_spans),
}


def build_groups(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> tuple[GasGroup, ...]:
    """Raises TableError naming the row at fault."""
    found: list[GasGroup] = []
    whole = TablePlace(FOLDER, FILE, book=Book("ISO 14175", "2008", sources))
    for item, place in schema.numbered(raw.get("group"), whole, "group", "symbol"):
        row = read_row(item, ROW, place)
        if row["symbol"] in {group.symbol for group in found}:
            raise place.fail("is listed twice")
        found.append(
            GasGroup(
                row["symbol"],
                row["parts"],
                frozenset(row["balance"] or ()),
                schema.citation(row, place),
            )
        )
    return tuple(found)


@lru_cache(maxsize=1)
def groups() -> tuple[GasGroup, ...]:
    """The groups of ISO 14175, from `tables/catalogue/iso_gases.toml`. Raises TableError."""
    return build_groups(catalogue_file(FILE), catalogue_sources())


@lru_cache(maxsize=1024)
def gas_group(key: str) -> GasGroup | None:
    """The group of a mixture, given by its key; `None` for no gas and for what the table does not hold."""
    shares = components(key)
    return next((group for group in groups() if shares and group.holds(shares)), None)


def symbol(key: str) -> str:
    """`M21`, `I1`, `none`; a mixture outside the table is Z with its composition, since two of them are not
    the same gas."""
    if key == NO_GAS:
        return NO_GAS
    found = gas_group(key)
    return found.symbol if found else f"{OTHER}:{key}"


def say_symbol(token: str) -> str:
    """A symbol in words."""
    if token == NO_GAS:
        return label(NO_GAS)
    return f"{OTHER} ({label(token.removeprefix(f'{OTHER}:'))})" if token.startswith(f"{OTHER}:") else token


def designation(key: str) -> str:
    """`ISO 14175 - M21 - ArC - 18`; empty for no gas."""
    shares = components(key)
    if not shares:
        return ""
    found = gas_group(key)
    letters = "".join(LETTERS[name] for name in shares)
    rest = "/".join(f"{share.normalize():f}" for share in list(shares.values())[1:])
    return " - ".join(part for part in ("ISO 14175", found.symbol if found else OTHER, letters, rest) if part)

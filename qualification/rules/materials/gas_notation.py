"""How shops write a gas besides by its composition.

Purity (`Argon 99.99`, `Ar 4.8`), groups and designations of ISO 14175 (`I1`, `M21 80/20`,
`ISO 14175 - M21 - ArC - 18`), short names of argon with carbon dioxide (`C25`), designations of AWS A5.32
(`SG-AC-25`). A group that holds many mixtures (`M21` alone) says nothing of the composition: codes that ask
for that find it not stated. Two shares without gases (`75/25`) ask which gases; in carbon and low-alloy
steel, from 8 % on, they are argon and carbon dioxide.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from ..core.gases import COMPONENTS, GasError, label, read_gas
from .gas_writing import plainly_written_gas
from .iso_gases import LETTERS, gas_group, groups


@dataclass(frozen=True)
class GasReading:
    """What was understood."""

    key: str = ""
    """Key of the mixture; empty where only its group is known."""
    group: str = ""
    """Symbol of ISO 14175, where that is all that is written."""
    remark: str = ""
    """What is written besides, such as the purity."""

    @property
    def words(self) -> str:
        if not self.key:
            return f"group {self.group} of ISO 14175, composition not stated"
        return f"{label(self.key)}, {self.remark}" if self.remark else label(self.key)


_LONGEST = 120
_WORDS = re.compile(
    r"^(?:welding[ -]grade|industrial|high[ -]purity|pure|tri-?mix(?:ture)?|mix(?:ture)?|gas)\b:? ?"
    r"| ?\b(?:welding[ -]grade|tri-?mix|mix(?:ture)?|gas)$",
    re.IGNORECASE,
)
_NAME = "(?P<name>argon|helium|oxygen|hydrogen|nitrogen|co2|o2|h2|n2|ar|he)"
_NUMBER = r"(?P<number>\d{1,3}[.,]\d{1,6})"
_PURE = (
    re.compile(rf"{_NAME} ?,? ?(?:grade ?)?{_NUMBER} ?%?(?: ?pur(?:e|ity))?", re.IGNORECASE),
    re.compile(rf"{_NUMBER} ?%? ?(?:pure ?)?{_NAME}", re.IGNORECASE),
)
_SHARES = re.compile(r"(\d{1,2}(?:[.,]\d)?)\s*/\s*(\d{1,2}(?:[.,]\d)?)")
_ISO = re.compile(
    r"(?:ISO\s*14175\s*[-:]?\s*)?(?P<group>[IMCRNO]\d{1,2}|Z)"
    r"(?:\s*-\s*(?P<letters>[A-Za-z0-9]{1,12}?)(?:\s*-\s*(?P<shares>[\d.,/]{1,20}))?"
    r"|\s+(?P<pair>\d{1,2}(?:[.,]\d)?\s*/\s*\d{1,2}(?:[.,]\d)?))?",
    re.IGNORECASE,
)
_GROUP_AND_SHARES = re.compile(r"^([IMCRNO]\d{1,2}) ?\((\d{1,2} ?/ ?\d{1,2})\)$", re.IGNORECASE)
_ARGON_CO2 = re.compile(r"C[ -]?(\d{1,2})", re.IGNORECASE)
_SURELY_CO2 = 8
"""Percent; below it argon is as often mixed with oxygen."""
_AWS = re.compile(
    r"(?:AWS\s*)?(?:A5\.32\s*)?SG-(?P<letters>[A-Z]{1,4})(?:-(?P<share>\d{1,2}(?:\.\d)?))?", re.IGNORECASE
)
_AWS_LETTERS = {
    "A": ("Ar",), "C": ("CO2",), "HE": ("He",), "O": ("O2",), "N": ("N2",), "H": ("H2",),
    "AC": ("Ar", "CO2"), "AO": ("Ar", "O2"), "AHE": ("Ar", "He"), "HEA": ("He", "Ar"), "AH": ("Ar", "H2"),
    "AN": ("Ar", "N2"),
}  # fmt: skip


@lru_cache(maxsize=2048)
def read_gas_entry(text: str, family: str = "") -> GasReading:
    """The gas a text names. `family` of the base metals lets two bare shares be read. Raises GasError."""
    plain = _WORDS.sub("", " ".join(text.replace("₂", "2").split())).strip()
    plain = _GROUP_AND_SHARES.sub(r"\1 \2", plain)
    try:
        return _as_designed(plain, text, family)
    except GasError:
        if len(text) > _LONGEST:
            raise
        written, group = plainly_written_gas(text)
        if written == plain and not group:
            raise
        try:
            found = _as_designed(written, text, family)
        except GasError:
            found = None
        if found is None:
            raise
    return _of_group(found, group, text) if group else found


def _as_designed(plain: str, text: str, family: str) -> GasReading:
    """The gas by one of the ways of writing that belong to a standard or to a composition."""
    found = _pure(plain) or _by_iso(plain, text) or _by_aws(plain, text) or _short(plain, text, family)
    return found or GasReading(read_gas(plain or text))


def _of_group(found: GasReading, symbol: str, text: str) -> GasReading:
    """The reading, once the group that is written beside the composition is its own."""
    own = gas_group(found.key) if found.key else None
    if found.key and symbol != (own.symbol if own else "Z"):
        belongs = f"is of group {own.symbol}" if own else "is of no group listed"
        raise GasError(f"“{text.strip()}”: {label(found.key)} {belongs}. Correct the group or the shares.")
    remark = f"group {symbol} of ISO 14175"
    return GasReading(found.key, found.group, f"{found.remark}, {remark}" if found.remark else remark)


def _pure(plain: str) -> GasReading | None:
    match = next((match for pattern in _PURE if (match := pattern.fullmatch(plain))), None)
    if not match:
        return None
    name, number = COMPONENTS[match["name"].upper()], Decimal(match["number"].replace(",", "."))
    if Decimal(99) <= number < 100:
        return GasReading(name, remark=f"purity {number} %")
    if Decimal(2) <= number < 8 and -number.as_tuple().exponent == 1 and not plain[0].isdecimal():  # type: ignore[operator]
        # The figure before the point counts the nines, the one behind it follows them: 4.8 is 99.998 %.
        nines, last = int(number), int(number * 10) % 10
        share = 100 - Decimal(10) ** (2 - nines) + Decimal(last) * Decimal(10) ** (1 - nines)
        return GasReading(name, remark=f"grade {number}, purity {share.normalize():f} %")
    return None


def _mixture(names: tuple[str, ...], shares: list[Decimal], text: str) -> str:
    if len(shares) != len(names) - 1:
        raise GasError(
            f"“{text.strip()}” does not give a share for each gas but the first. State the composition."
        )
    return read_gas(
        " / ".join([names[0], *(f"{name} {share}" for name, share in zip(names[1:], shares, strict=True))])
        if len(names) > 1
        else names[0]
    )


def _numbers(text: str) -> list[Decimal]:
    try:
        return [] if not text else [Decimal(part.replace(",", ".")) for part in text.split("/")]
    except ArithmeticError as error:
        raise GasError(f"“{text}” does not say the shares. Write them like 18 or 5/2.") from error


def _by_iso(plain: str, text: str) -> GasReading | None:
    match = _ISO.fullmatch(plain)
    symbols = {group.symbol: group for group in groups()}
    if not match or match["group"].upper() not in {*symbols, "Z"} or plain.upper() in ("O2", "N2"):
        return None
    symbol = match["group"].upper()
    group = symbols.get(symbol)
    if match["letters"]:
        key = _mixture(_names(match["letters"], text), _numbers(match["shares"] or ""), text)
    elif match["pair"]:
        if group is None or len(group.parts) != 1 or len(group.balance - set(group.parts)) < 1:
            raise GasError(
                f"“{text.strip()}” does not say which gases have these shares. State the composition."
            )
        balance = "Ar" if "Ar" in group.balance else min(group.balance)
        key = _mixture((balance, next(iter(group.parts))), [min(_numbers(match["pair"]))], text)
        if sum(_numbers(match["pair"])) != 100:
            raise GasError(f"The shares in “{text.strip()}” do not add up to 100 %.")
    elif group is None:
        raise GasError(f"“{text.strip()}” does not say what the mixture holds. State the composition.")
    elif len(group.parts) == 1 and not group.balance and _is_whole(group.parts):
        return GasReading(next(iter(group.parts)))
    elif plain.upper() == "C2":
        raise GasError(
            "“C2” can be argon with 2 % carbon dioxide, or group C2 of ISO 14175. State the composition, like"
            " 98Ar/2CO2."
        )
    else:
        return GasReading(group=symbol)
    own = gas_group(key)
    if symbol != (own.symbol if own else "Z"):
        belongs = f"is of group {own.symbol}" if own else "is of no group listed"
        raise GasError(f"“{text.strip()}”: {label(key)} {belongs}. Correct the group or the shares.")
    return GasReading(key, remark=f"group {symbol} of ISO 14175")


def _is_whole(parts: object) -> bool:
    return all(span.low == 100 for span in parts.values())  # type: ignore[attr-defined]


def _names(letters: str, text: str) -> tuple[str, ...]:
    """Components from the letters of a designation: `ArC` is argon and carbon dioxide, `ArHeC` three."""
    found, rest = [], letters
    by_letters = sorted(((short, name) for name, short in LETTERS.items()), key=lambda pair: -len(pair[0]))
    while rest:
        short, name = next(
            ((short, name) for short, name in by_letters if rest.upper().startswith(short.upper())), ("", "")
        )
        if not short:
            raise GasError(f"“{letters}” in “{text.strip()}” does not name gases. State the composition.")
        found.append(name)
        rest = rest[len(short) :]
    return tuple(found)


def _by_aws(plain: str, text: str) -> GasReading | None:
    match = _AWS.fullmatch(plain)
    if not match:
        return None
    names = _AWS_LETTERS.get(match["letters"].upper())
    if names is None or (len(names) > 1) != bool(match["share"]):
        raise GasError(
            f"“{text.strip()}” is not a designation known here. State the composition, like 75Ar/25CO2."
        )
    return GasReading(
        _mixture(names, _numbers(match["share"] or "")[: len(names) - 1], text)
        if match["share"]
        else names[0]
    )


def _short(plain: str, text: str, family: str) -> GasReading | None:
    match = _ARGON_CO2.fullmatch(plain)
    if match and int(match[1]) > 2:
        return GasReading(_mixture(("Ar", "CO2"), [Decimal(match[1])], text))
    shares = _SHARES.fullmatch(plain)
    if not shares:
        return None
    numbers = [Decimal(part.replace(",", ".")) for part in shares.groups()]
    if sum(numbers) != 100:
        return None
    if family.endswith("steel") and not family.startswith("stainless") and min(numbers) >= _SURELY_CO2:
        return GasReading(_mixture(("Ar", "CO2"), [min(numbers)], text))
    high, low = max(numbers), min(numbers)
    raise GasError(
        f"“{text.strip()}” does not name a gas by itself: it can be {high}Ar/{low}CO2, {high}Ar/{low}He or"
        f" {high}He/{low}Ar. Write which."
    )


_FACTS = {"shielding_gas": ("iso_gas", "gas_activity"), "backing_gas": ("iso_backing_gas", "")}
_ACTIVITY = {"I": "inert", "M": "active", "C": "active"}
"""Kind of the gases of a group by its letter, where all of them are of one."""


def facts_of_groups(variable: str, texts: Sequence[str]) -> dict[str, frozenset[str]]:
    """What groups of ISO 14175 say of a gas whose composition is not stated, by variable. Raises GasError."""
    symbols = frozenset(read_gas_entry(text).group for text in texts)
    if variable not in _FACTS or not symbols or not all(symbols):
        return {}
    group, kind = _FACTS[variable]
    kinds = frozenset(_ACTIVITY.get(symbol[0], "") for symbol in symbols)
    return {group: symbols} | ({kind: kinds} if kind and all(kinds) else {})

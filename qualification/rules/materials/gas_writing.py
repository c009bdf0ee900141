"""Gases as records of the trade write them, put into the forms that `gas_notation.py` reads.

`Ar/CO2 75/25`, `98/2 ArO2`, `75% argon 25% CO2`, `2% CO2, bal. argon`, `M21 (82Ar/18CO2)`, and the flow that
stands behind some: `80Ar/20CO2 @ 35 CFH`. No share is made up: where shares and gases are not one for one,
the text stays as it is.
"""

from __future__ import annotations

import re

from ..core.gases import COMPONENTS

_GAS = r"(?:argon|helium|oxygen|hydrogen|nitrogen|co2|o2|h2|n2|ar|he)"
_GASES = rf"{_GAS}(?: ?[/+-]? ?{_GAS})+"
_SHARE = r"\d{1,3}(?:[.,]\d{1,4})?"
_SHARES = rf"{_SHARE} ?%?(?: ?[/:-] ?{_SHARE} ?%?)+"
_FLOW = re.compile(
    r"(?<![ ,;(/-])[ ,;(/-]++(?:@|at)? ?(?P<flow>[\d.,]{1,12}(?: ?(?:-|–|to) ?[\d.,]{1,12})?"
    r" ?(?:s?cfh|l/min|lpm|ft3/hr?|cf/h|l/mn|lit/min|ltrs?/min))\)?\.?$",
    re.I,
)
_NONE = frozenset(
    {
        *("none used", "none required", "self-shielded", "self shielded", "selfshielded", "not used"),
        *("without", "w/o", "not required", "no backing gas", "without backing gas", "no purge"),
    }
)


def _decimal_part(match: re.Match[str]) -> str:
    """`7-1/2 %` with its half as a decimal; a fraction that has no end stays."""
    shares = {("1", "2"): ".5", ("1", "4"): ".25", ("3", "4"): ".75"}
    return shares.get((match[1], match[2]), match[0])


_PLAIN = (
    (re.compile(r"\bcarbon[ -]?dioxide\b|\bcarbonic\b", re.I), "CO2"),
    (re.compile(r"(?<!-)\b(?:purge|purging|purged|shielding|blend|mixture|mix)\b", re.I), " "),
    (re.compile(r"\b(?:UHP|ultra[ -]high[ -]purity|pure)\b|\((?:industrial|welding)[ -]grade\)", re.I), " "),
    (re.compile(r"^forming[ -]gas(?= ?\(?\d)", re.I), "N2/H2"),
    (re.compile(r"^tri-?mix(?:ture)?\b:? ?(?=\d)", re.I), ""),
    (re.compile(r"(?<=\d)[ -](\d)/(\d)(?= ?%)"), _decimal_part),
    (re.compile(rf"^({_SHARE} ?% ?{_GAS}),? in ({_GAS})$", re.I), r"\2 + \1"),
    (re.compile(rf"({_GAS})-(?={_SHARE} ?%)", re.I), r"\1 "),
    (re.compile(r"^(?:EN ?/? ?)?ISO ?14175(?::\d{4})?\s*[-:]?\s*", re.I), "ISO 14175-"),
    (re.compile(r"^([IMCRNO]\d{1,2}),? ?\(?(?:EN ?/? ?)?ISO ?14175(?::\d{4})?\)?$", re.I), r"ISO 14175-\1"),
    (re.compile(r"^([IMC]) (\d{1,2})\b"), r"\1\2"),
    (re.compile(r"^(M\d{2}) ?\(Ar-?(C|O|He)-?(\d{1,2})\)$", re.I), r"ISO 14175-\1-Ar\2-\3"),
    (re.compile(r"^Ar-?C-?(\d{1,2})$", re.I), r"Ar + \1 % CO2"),
    (re.compile(r"^(?:argon|ar) ?\(I1\)$", re.I), "ISO 14175-I1-Ar"),
    (re.compile(r"^((?:argon|helium|ar|he) \d\.\d) ?\(99[.,]\d+ ?%?\)$", re.I), r"\1"),
    (re.compile(r"\bw/|\bwith\b|\bplus\b", re.I), "+"),
    (re.compile(rf"\b(?:bal(?:ance|\.)?|rest|remainder)(?: of)?,? ?(?={_GAS}\b)", re.I), "+ "),
    (re.compile(rf"({_GAS})[ ,]+(?:bal(?:ance|\.)?|rest|remainder)$", re.I), r"\1"),
)
_NAMES_THEN_SHARES = re.compile(
    rf"(?P<names>{_GASES})[ :,]*\(?(?P<shares>{_SHARES})\)?",
    re.I,
)
_SHARES_THEN_NAMES = re.compile(
    rf"\(?(?P<shares>{_SHARES})\)?[ ,]*(?P<names>{_GASES})",
    re.I,
)
_LAST_SHARE = re.compile(rf"(?P<names>{_GAS} ?[/+-]? ?{_GAS}) ?(?P<shares>{_SHARE}) ?%?", re.I)
_SHARE_NAME = re.compile(rf"(?P<share>{_SHARE}) ?%? ?(?P<name>{_GAS})(?![a-z0-9])", re.I)
_NAME_SHARE = re.compile(rf"(?P<name>{_GAS}) ?(?P<share>{_SHARE}) ?%", re.I)
_GROUP_AND_MORE = re.compile(r"(?P<group>[IMCRNO]\d{1,2}) ?(?:[:,(] ?| )(?P<rest>[^()]+?)\)?", re.I)
_ONE_IN_BRACKETS = re.compile(rf"(?P<name>{_GAS}) ?\((?P<share>{_SHARE}) ?%\)", re.I)


def flow_behind(text: str) -> str:
    """The flow written behind a gas; empty where none is."""
    match = _FLOW.search(text)
    return match["flow"] if match and match.start() else ""


def plainly_written_gas(text: str) -> tuple[str, str]:
    """The gas in a form that is read, and the group of ISO 14175 that stands beside its composition."""
    said = " ".join(text.replace("₂", "2").split())
    if match := _FLOW.search(said):
        said = said[: match.start()] or said
    if said.lower() in _NONE:
        return "none", ""
    for pattern, plain in _PLAIN:
        said = " ".join(pattern.sub(plain, said).split())
    said = said.strip(" ,")
    group = ""
    bare = said.removeprefix("ISO 14175-")
    if (match := _GROUP_AND_MORE.fullmatch(bare)) and re.search(_GAS, match["rest"], re.I):
        group, said = match["group"].upper(), match["rest"].strip(" +,")
    return _shares_to_gases(re.sub(r"[,;/] ?\+|\+ ?[,;/]", "+", said)), group


def _shares_to_gases(said: str) -> str:
    said = said.strip(" +,")
    if match := _ONE_IN_BRACKETS.fullmatch(said):
        return f"{match['name']} {match['share']} %"
    if match := _NAMES_THEN_SHARES.fullmatch(said) or _SHARES_THEN_NAMES.fullmatch(said):
        names = re.findall(_GAS, match["names"], re.I)
        shares = re.findall(_SHARE, match["shares"])
        if len(names) == len(shares):
            return " / ".join(f"{share} {name}" for share, name in zip(shares, names, strict=True))
        return said
    if match := _LAST_SHARE.fullmatch(said):
        first, second = re.findall(_GAS, match["names"], re.I)
        if COMPONENTS[first.upper()] != COMPONENTS[second.upper()] and COMPONENTS[first.upper()] == "Ar":
            return f"{first} / {second} {match['shares']}"
    for pattern in (_SHARE_NAME, _NAME_SHARE):
        found = list(pattern.finditer(said))
        if len(found) > 1 and not re.sub(r"[ ,;/+&-]|\band\b", "", pattern.sub("", said), flags=re.I):
            return " / ".join(f"{each['share']} {each['name']}" for each in found)
    return said

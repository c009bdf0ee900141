"""How the trade writes a metal or a filler, boiled down to one plain form to look it up by.

Two spellings of one designation (`SA-516 Gr. 70`, `A516-70`) come out alike; nothing is guessed from a part
of a name, and two numbers never run together into one. What stands in the catalogue is not known here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−", "-"))
_METAL_WORDS = re.compile(
    r"\bEN[\s-]*A[WC]\b[\s-]*|\bAW[\s-]*(?=\d)|\bAA[\s-]*(?=\d)|\bAL[\s-]*(?=\d{4}\b)|\bALUMINI?UM\b|\bALLOY[\s-]*(?=\d{4}\b)"
    r"|\b(?:ASTM|ASME|AISI|SAE|UNS)\b|\bGRADE\b|\bGR\b\.?|\bGR(?=\d)|(?<=\d)GR\b\.?|(?<=\d)GR(?=\d|[A-Z]\b)|\bTYPE\b|\bTP\s*(?=\d)|\bSS[\s-]*(?=\d{3})|\bSTAINLESS\b|\bSTEEL\b"
    r"|\bALUM\b\.?|\bA(?=[3567]\d{3}P?\b)|(?<=\d)P(?=-[THO])"
    r"|(?<=\d)\s+SS$|(?<=\d[LH])\s+SS$"
)
_CLASS = re.compile(r"\b(?:CLASS|CL)\.?\s*(?=\d)")
_SEPARATORS = re.compile(r"[\s\-.,/]+")
_CLAIMS = (
    (re.compile(r"\bA[WC]\b|\bAA\b|\bAL[\s-]*(?=\d{4}\b)|\bALUMINI?UM\b"), "aluminium"),
    (re.compile(r"\bSTAINLESS\b|\bSS\b|\bSS(?=\d{3})|\bTP\b|\bTP(?=\d)"), "stainless"),
    (re.compile(r"\bSTEEL\b|\bAISI\b|\bSAE\b"), "steel"),
)
"""Words that say of what kind a metal is; one of another kind is not meant."""
_SPECIFICATION = re.compile(
    r"^(S?[AB][\s-]?\d{2,3}M?)(?:[\s,/]+(?=\S)|-(?=\d{4}\b|\d{3}[A-Z]{0,2}$)|(?=TP\d))"
)
_EUROPEAN = re.compile(
    r"^(?P<before>(?:DIN |BS |NF )?(?:EN|ISO)(?: ISO)?[ -]?\d{3,5}(?:-\d{1,2})?)(?::\d{4})?[\s:,-]+(?=\S)"
    r"|(?<![\s,])[\s,]++\(?(?:ACC\.? )?(?:TO )?"
    r"(?P<behind>(?:DIN |BS |NF )?(?:EN|ISO)(?: ISO)? ?\d{3,5}(?:-\d{1,2})?)"
    r"(?::\d{4})?\)?$"
)
"""A standard of delivery before or behind the metal: `EN 10025-2: S355J2+N`."""
_HOW_MADE = re.compile(r"(?<=\S)(?:, |[, ])(?:SMLS|SEAMLESS|PSL[\s-]?[12]|NORMALI[SZ]ED)(?=$|[\s,])")
_TEMPER_APART = re.compile(r"(?<=\d{4})([\s-]+[TH])-(?=\d{1,4}$)")
_EQUIVALENT = re.compile(
    r"(?<![\s,/])[\s,/]*+\bOR\s+(?:APPROVED\s+)?(?:EQUIVALENT|EQUAL|EQUIV\b\.?|EQ\b\.?)$"
)
_FILLER_SPECIFICATION_BEHIND = re.compile(
    r"^(?P<name>[^()]*[^()\s])\s*(?P<open>\()?(?(open)|\b(?:PER|TO|ACC\.? TO)\s)\s*"
    r"(?:(?:AWS|ASME)\s+)?(?:SFA|A)[\s-]?"
    r"(?P<number>5\.\d{1,2})M?(?:/(?:SFA|A)?[\s-]?5\.\d{1,2}M)?(?(open)\))$"
)
_TWO_NAMES = re.compile(r" ?[()] ?| / ")
_PREFIX = re.compile(r"^(?:ASTM|ASME)\b[\s:-]*")
_OF_ASTM = re.compile(r"^(?:ASTM|ASME)\b[\s:-]*S?[AB]")
_TEMPER = re.compile(r"(?:T\d{1,4}|H\d{1,3}|(?<=[\s-])[OFW])$")
_FILLER_WORDS = re.compile(r"^(?:AWS|ASME|CLASS(?:IFICATION)?)\b[\s:]*")
_FILLER_SPECIFICATION = re.compile(r"^(?:SFA|A)[\s-]?(5\.\d{1,2})M?[\s:,/]+(?=\S)")
_HYDROGEN = re.compile(r"(?:(?:(?<=[CM])J|-J)[\s-]*+|(?<![\s-])[\s-]*+)H(?:2|4|8|16)R?$|(?:(?<=[CM])|-)J$")
"""Designators of diffusible hydrogen and of toughness at a lower temperature."""
_BARE_WIRE = re.compile(r"^(70S)-?([2-7G])$")
_MILITARY = re.compile(r"^MIL-E-\d{5}[A-Z]?(?:/\d{1,2}[A-Z]?)?[\s,:]+(?=MIL-)")
_BARE_NUMBER = re.compile(r"^(?:E-?)?(60|70)(1[0-9]|2[0-8]|48)$")


def written_plain(text: str) -> str:
    """Upper case, one kind of dash, single spaces."""
    folded = unicodedata.normalize("NFKC", text).upper().translate(_DASHES)
    return " ".join(folded.split())


def joined(text: str) -> str:
    """The form in which names are compared: without spaces, hyphens, points, commas and slashes."""
    return _SEPARATORS.sub("", written_plain(text))


def hyphenated(text: str) -> str:
    """As `joined`, but with its hyphens: `ENi-1` and `ENi1` are two different fillers."""
    return written_plain(text).replace(" ", "")


def remark_on_equivalent(text: str) -> str:
    """What is said of a name that lets in others nobody named."""
    return "; “equivalent” is not defined and lets nothing else in" if is_or_equivalent(text) else ""


def is_or_equivalent(text: str) -> bool:
    """True for a name that leaves another one open: `ER70S-6 or equal`."""
    return bool(_EQUIVALENT.search(written_plain(text)))


def two_names(text: str) -> list[str]:
    """`ER4043 (S Al 4043)` and `ER4043 / S Al 4043` as their two names."""
    return [part for part in _TWO_NAMES.split(" ".join(text.split())) if part]


_TWO_METAL_NAMES = re.compile(
    r"^(?P<one>[^()]*[^()\s]) ?\((?P<two>(?!(?:DIN |BS |NF )?(?:EN|ISO) ?\d)[^()]{2,40}(?:\(A\))?)\)$"
)


def two_names_of_metal(text: str) -> list[str]:
    """`1.4404 (316L)` as its two names; none for one name, or with a standard in brackets."""
    match = _TWO_METAL_NAMES.match(" ".join(text.split()))
    return [match["one"], match["two"]] if match else []


def metal_form(text: str) -> str:
    """A metal's name without the words that say only whose designation it is or that a grade follows, and
    without separators, except between two digits: `516-70` is not 51670, nor `60 61` 6061."""
    return _SEPARATORS.sub(_between_digits, _CLASS.sub("CL", _METAL_WORDS.sub(" ", written_plain(text))))


def _between_digits(match: re.Match[str]) -> str:
    whole, start, end = match.string, match.start(), match.end()
    if start == 0 or end == len(whole) or not (whole[start - 1].isdecimal() and whole[end].isdecimal()):
        return ""
    return "." if match[0] in (".", ",") else "-"


def claimed_kinds(text: str) -> frozenset[str]:
    """What the words beside a metal's name say it is: `aluminium`, `stainless`, `steel`."""
    plain = written_plain(text)
    return frozenset(kind for pattern, kind in _CLAIMS if pattern.search(plain))


def is_of_astm(text: str) -> bool:
    """True where the name is said to be a specification: ASTM A356 is one for steel castings, while A356
    alone is an aluminum alloy."""
    return bool(_OF_ASTM.match(written_plain(text)))


@dataclass(frozen=True)
class MetalReading:
    """One way to read a metal's name."""

    form: str
    """Compared form of the name."""
    specification: str = ""
    """As `B209`, without the S that a boiler code puts before it."""
    temper: str = ""
    written: str = ""
    """The specification as written, in capitals."""


def metal_readings(text: str) -> Iterator[MetalReading]:
    """The ways a metal's name can be read, the plainest first.

    `6061`, then `6061` with temper `T6` for `6061-T6`, then the same behind a specification such as `B209`.
    """
    plain = _HOW_MADE.sub("", _PREFIX.sub("", _EQUIVALENT.sub("", written_plain(text))))
    plain = _TEMPER_APART.sub(r"\1", plain)
    if european := _EUROPEAN.search(plain):
        plain = f"{plain[: european.start()]}{plain[european.end() :]}"
    bare = _METAL_WORDS.sub(" ", plain).strip()
    specification = _SPECIFICATION.match(plain)
    ways = [("", (european["before"] or european["behind"]) if european else "", bare)]
    if specification:
        written = re.sub(
            r"^(S?[AB])[\s-]?(?=\d)", r"\1-" if specification[1].startswith("S") else r"\1", specification[1]
        )
        plain_written = joined(written).removeprefix("S").removesuffix("M")
        rest = _METAL_WORDS.sub(" ", plain[specification.end() :]).strip()
        ways.append((plain_written, written, rest))
    for name, written, rest in ways:
        yield MetalReading(metal_form(rest), name, "", written)
        temper = _TEMPER.search(rest)
        if temper and (before := rest[: temper.start()].rstrip(" -")):
            yield MetalReading(metal_form(before), name, temper[0], written)


def filler_readings(text: str) -> Iterator[tuple[str, str]]:
    """The ways a filler's name can be read, the plainest first: (name, specification or empty).

    The designator for diffusible hydrogen (`-H4`, `H4R`) is no part of the classification and is left
    off last.
    """
    plain = _FILLER_WORDS.sub("", _EQUIVALENT.sub("", written_plain(text)))
    behind = _FILLER_SPECIFICATION_BEHIND.match(plain)
    if behind:
        plain = f"A{behind['number']} {behind['name']}"
    match = _FILLER_SPECIFICATION.match(plain)
    specification, name = (f"SFA-{match[1]}", plain[match.end() :]) if match else ("", plain)
    yield name, specification
    if number := _BARE_NUMBER.match(name):
        yield f"E{number[1]}{number[2]}", specification
    if wire := _BARE_WIRE.match(name):
        yield f"ER{wire[1]}-{wire[2]}", specification
    if bare := _MILITARY.sub("", name):
        yield bare, specification
    hydrogen = _HYDROGEN.search(name)
    if hydrogen and re.search(r"\d", before := name[: hydrogen.start()].rstrip(" -")):
        yield before, specification


_SIZE_BEHIND = re.compile(
    r"^(?=\S*\d)(?P<name>\S*[^\s,](?: H\d{1,2}R?)?)[ ,]++(?:- )?(?:Ø ?|dia\.? ?)?"
    r"(?P<size>(?:\d{1,2}/\d{1,2}|0?\.\d{2,3})(?: ?(?:in\.?|\"))?|\d[.,]\d{1,2} ?mm)(?: dia\.?)?$",
    re.IGNORECASE,
)
_SIZE_BEFORE = re.compile(
    r"^(?P<size>(?:\d{1,2}/\d{1,2}|0?\.\d{2,3})(?: ?(?:in\.?|\"))?|\d[.,]\d{1,2} ?mm) (?:dia\.? )?"
    r"(?P<name>E\S+)$",
    re.IGNORECASE,
)
_TWO_ALLOYS = re.compile(
    r"^(?P<stem>ER?)(?P<first>\d{3}[A-Z]{0,2})/(?P<second>\d{3}[A-Z]{0,2})(?P<end>-\d\d)?$"
)
_TWO_CLASSES = re.compile(r"^(?P<stem>E[\w]*?)-(?P<first>\w+?)(?P<more>(?: ?/ ?-?\w{1,4})+)$")


def name_and_size(text: str) -> tuple[str, str]:
    """A filler and the diameter written behind it: `ER70S-2, 3/32`; the text and nothing where none is."""
    plain = " ".join(text.split())
    match = _SIZE_BEHIND.match(plain) or _SIZE_BEFORE.match(plain)
    return (match["name"].rstrip(","), match["size"]) if match else (text, "")


def classes_in(text: str) -> list[str]:
    """The names of a filler classified twice: `E71T-1C/-1M`, `E71T-9C/M`, `E309L-16/17`, `E6010/E7018`; none
    for one name."""
    plain = re.sub(r" OR (?=-)", "/", " ".join(written_plain(text).split()))
    if "/" not in plain or len(plain) > 60:
        return []
    bare = _HYDROGEN.sub("", plain).rstrip(" -") if _HYDROGEN.search(plain) else plain
    parts = [part.strip() for part in bare.split("/")]
    if all(re.match(r"^(?:E|ER|EC|R)\d", part) for part in parts):
        return parts
    if match := _TWO_ALLOYS.match(bare):
        return [f"{match['stem']}{match[end]}{match['end'] or ''}" for end in ("first", "second")]
    match = _TWO_CLASSES.match(bare)
    if not match:
        return []
    stem, first = match["stem"], match["first"]
    found = [f"{stem}-{first}"]
    for part in parts[1:]:
        tail = part.lstrip("-")
        found.append(f"{stem}-{tail}" if tail[:1].isdigit() else f"{stem}-{first[: -len(tail)]}{tail}")
    return found

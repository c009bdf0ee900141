"""How the trade writes a metal or a filler, boiled down to one plain form to look it up by.

Two spellings of one designation (`SA-516 Gr. 70`, `A516-70`) come out alike; nothing is guessed from a part
of a name. What stands in the catalogue is not known here.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−", "-"))
_METAL_WORDS = re.compile(
    r"\bEN[\s-]*A[WC]\b[\s-]*|\bAW[\s-]*(?=\d)|\bAA[\s-]*(?=\d)|\bAL[\s-]*(?=\d{4}\b)|\bALUMINI?UM\b|\bALLOY[\s-]*(?=\d{4}\b)"
    r"|\b(?:ASTM|ASME|AISI|SAE|UNS)\b|\bGRADE\b|\bGR\b\.?|\bGR(?=\d)|\bTYPE\b|\bTP\s*(?=\d)|\bSS[\s-]*(?=\d{3})|\bSTAINLESS\b|\bSTEEL\b"
)
_CLASS = re.compile(r"\b(?:CLASS|CL)\.?\s*(?=\d)")
_SEPARATORS = re.compile(r"[\s\-.,/]+")
_SPECIFICATION = re.compile(r"^S?([AB]-?\d{2,3})M?[\s,/]+(?=\S)")
_TEMPER = re.compile(r"^(?P<name>.*?\S)(?:[\s-]*(?P<long>T\d{1,4}|H\d{1,3})|[\s-]+(?P<short>[OFW]))$")
_FILLER_WORDS = re.compile(r"^(?:AWS|ASME|CLASS(?:IFICATION)?)\b[\s:]*")
_FILLER_SPECIFICATION = re.compile(r"^(?:SFA|A)[\s-]?(5\.\d{1,2})M?[\s:,/]+(?=\S)")
_HYDROGEN = re.compile(r"^(?P<name>.*\d.*?)[\s-]*(?P<suffix>H(?:2|4|8|16)R?)$")


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


def metal_form(text: str) -> str:
    """A metal's name without the words that say only whose designation it is or that a grade follows."""
    return joined(_CLASS.sub("CL", _METAL_WORDS.sub(" ", written_plain(text))))


def metal_readings(text: str) -> Iterator[tuple[str, str, str]]:
    """The ways a metal's name can be read, the plainest first: (compared form, specification, temper).

    `6061`, then `6061` with temper `T6` for `6061-T6`, then the same behind a specification such as `B209`.
    """
    plain = written_plain(text)
    for specification, rest in _with_specification(_METAL_WORDS.sub(" ", plain).strip()):
        yield metal_form(rest), specification, ""
        temper = _TEMPER.match(rest)
        if temper:
            yield metal_form(temper["name"]), specification, temper["long"] or temper["short"]


def _with_specification(plain: str) -> Iterator[tuple[str, str]]:
    yield "", plain
    match = _SPECIFICATION.match(plain)
    if match:
        yield match[1].replace("-", ""), plain[match.end() :]


def filler_readings(text: str) -> Iterator[tuple[str, str]]:
    """The ways a filler's name can be read, the plainest first: (name, specification or empty).

    The designator for diffusible hydrogen (`-H4`, `H4R`) is no part of the classification and is left
    off last.
    """
    plain = _FILLER_WORDS.sub("", written_plain(text))
    match = _FILLER_SPECIFICATION.match(plain)
    specification, name = (f"SFA-{match[1]}", plain[match.end() :]) if match else ("", plain)
    yield name, specification
    hydrogen = _HYDROGEN.match(name)
    if hydrogen:
        yield hydrogen["name"], specification

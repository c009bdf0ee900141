"""Papers under an ISO standard in the terms those standards use; screens keep the shop's words for both."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from qualification.codes.editions import is_iso
from qualification.evidence.sides import parted
from qualification.tongues.languages import ENGLISH, language_now

TERMS = {
    "Base metal": "Parent material",
    "Temper or condition": "Delivery condition",
    "Heat or lot of the metal": "Cast or batch of the material",
    "Groove": "Type of preparation",
    "Root opening": "Root gap",
    "Fillet leg": "Leg length",
    "Throat": "Throat thickness",
    "Back-gouging": "Back gouging",
    "Depth of back-gouging": "Depth of back gouging",
    "Outside diameter": "Outside pipe diameter",
    "Position": "Welding position",
    "Postweld heat treatment": "Post-weld heat treatment",
    "Filler specification": "Filler standard",
    "Filler classification": "Filler designation",
    "Filler metal added": "Filler material added",
    "Heat or lot of the filler": "Batch of the filler",
    "Wire feed": "Wire feed speed",
    "Bead": "Stringer or weave",
    "Contact tube to work": "Contact tip distance",
}
"""Labels of the registry, without their side, and what ISO 15609, ISO 15614 and ISO 9606 call the same."""
SPELLING = {"aluminum": "aluminium", "color": "colour", "program": "programme", "vapor": "vapour"}
"""Words of ours, and how ISO standards spell them (ISO/IEC Directives, Part 2: the Oxford English
Dictionary)."""
SPELLED = re.compile(rf"\b({'|'.join(SPELLING)})\b", re.I)


def in_terms_of(content: Mapping[str, Any]) -> Mapping[str, Any]:
    """The content of a record in the terms of its standard; nothing else of it changes."""
    if not is_iso(content["edition"]):
        return content
    return {
        **content,
        "entered": [
            {
                **group,
                "rows": _rows(group["rows"]),
                "not_stated": [_term(each) for each in group["not_stated"]],
            }
            for group in content["entered"]
        ],
        **({"range": _rows(content["range"])} if "range" in content else {}),
        **(
            {"findings": [{**line, "rows": _rows(line["rows"])} for line in content["findings"]]}
            if "findings" in content
            else {}
        ),
        **({"changes": _rows(content["changes"])} if "changes" in content else {}),
    }


def _rows(rows: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    return [{**row, "label": _term(row["label"])} for row in rows]


def _term(label: str) -> str:
    name, _ = parted(label)
    return as_iso_spells(TERMS.get(name, name) + label.removeprefix(name))


def as_iso_spells(text: str) -> str:
    """Our own English in the spelling of ISO standards. Other languages are looked up by our spelling."""
    if language_now() != ENGLISH:
        return text
    return SPELLED.sub(_spelled, text)


def _spelled(match: re.Match[str]) -> str:
    found = SPELLING[match[0].lower()]
    return found.capitalize() if match[0][0].isupper() else found

"""From a record's content to what its document prints: everything here is arrangement, nothing is judged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from string import ascii_lowercase
from typing import Any

from qualification.content import test_content
from qualification.models import CouponRecord, Record, State, UnitSystem
from qualification.rules import wording
from qualification.rules.findings import Provenance
from wps.approval import freeze_spec
from wps.documents.sketch import sketch_of
from wps.documents.waveforms import drawn_waveforms
from wps.models import Spec

UNCONFIRMED = Provenance.MEMORY.value
LONGEST_WHERE = 70
"""Letters of a circumstance that still stand in a row of the range."""
CAUTIONS = (
    (
        "The governing code, the contract and the shop's responsible welding person decide; this document"
        " replaces none of them."
    ),
    (
        "Welding gives off fume, ozone and ultraviolet light, strongly so on aluminium: ventilate, screen the"
        " arc, cover skin and eyes."
    ),
    (
        "Let solvent dry and take rags and cans away before striking an arc; never weld where chlorinated"
        " solvent vapour may be."
    ),
    "Argon displaces air in tanks, hulls and pits: ventilate and measure oxygen before entering.",
    "Aluminium shows no colour when hot. Keep a fire watch where sparks may reach anything that burns.",
)
"""Usual cautions of the trade (common practice), in our own words."""
VALIDITY_NOTE = (
    "A line signed on paper counts in the shop's records once it is entered there. Each confirmation carries"
    " on from its own day; one missed ends the qualification."
)


def content_of(record: Record) -> dict[str, Any]:
    """What is printed of a record: the snapshot once there is one, else its present content."""
    if record.snapshot is not None:
        return {**record.snapshot, "state": record.state}
    return freeze_spec(record) if isinstance(record, Spec) else test_content(_coupon(record))


def _coupon(record: Record) -> CouponRecord:
    assert isinstance(record, CouponRecord)
    return record


def document_context(content: Mapping[str, Any]) -> dict[str, Any]:
    """The template's context, from content alone."""
    state = State(content["state"])
    rows = list(_cited_rows(content))
    return {
        "content": content,
        "reference": f"{content['number']} rev {content['revision']}",
        "state_words": state.label,
        "is_issued": state in (State.APPROVED, State.SUPERSEDED, State.WITHDRAWN),
        "is_current": state is State.APPROVED,
        "approved_on": _day(content["approved_at"]),
        "joint_groups": [
            g for g in content["entered"] if g["line"] is None and (g["rows"] or g["not_stated"])
        ],
        "lines": _lines(content),
        "sketch": sketch_of(
            content["joint"], content["units"], content["lines"], shown=content.get("shown", "")
        ),
        "range_groups": _range_groups(content),
        "unconfirmed": unconfirmed_in(content),
        "cautions": CAUTIONS,
        "sources": _sources(rows),
        "kept_in": UnitSystem(content["units"]).label,
        "validity": _validity(content),
        "validity_note": VALIDITY_NOTE,
        "waveforms": drawn_waveforms(content),
    }


def _validity(content: Mapping[str, Any]) -> dict[str, Any] | None:
    """How a welder's qualification goes on, with a line for each signature to come; `None` on any other
    record."""
    validity = content.get("validity")
    if not validity:
        return None
    return {
        **validity,
        "confirmation_lines": range(validity["blank_confirmations"]),
        "prolongation_lines": range(validity["blank_prolongations"]),
    }


def unconfirmed_in(content: Mapping[str, Any]) -> list[str]:
    """Numbers nobody has confirmed that a document rests on: of its range or its findings, of the tests its
    coupon had to pass, of what their results had to show, and of how long it holds."""
    found = {
        f"{row['clause']} ({wording.within_sentence(row['label'])})"
        for row in _cited_rows(content)
        if row["provenance"] == UNCONFIRMED
    }
    for line in content.get("outcome", {}).get("lines", []):
        checks = (check["citation"] for result in line["results"] for check in result["checks"])
        cited = [each for each in (line["citation"], *checks) if each and each["provenance"] == UNCONFIRMED]
        found |= {f"{each['clause']} ({wording.within_sentence(line['asked'])})" for each in cited}
    return sorted(found)


def _cited_rows(content: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
    yield from content.get("range", [])
    for line in content.get("findings", []):
        yield from (row for row in line["rows"] if row["binds"])
    if validity := content.get("validity"):
        yield {**validity["citation"], "label": "confirmation"}
        yield from (
            {**each["citation"], "label": "way of going on"}
            for each in ([validity["way"]] if validity["way"] else validity["ways"])
        )


def _range_groups(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The range by process line: what binds always, then what binds only where toughness is required. A long
    circumstance that several rows share is printed once below the table, with a letter in its place."""
    groups: dict[tuple[int, bool], list[Mapping[str, Any]]] = {}
    for row in content.get("range", []):
        groups.setdefault((row["line"] or 0, row.get("standing") == "supplementary"), []).append(row)
    found = []
    for (line, only_tough), rows in sorted(groups.items(), key=lambda item: item[0]):
        notes: dict[str, str] = {}
        shown = [{**row, "where": _where(row["when"], notes)} for row in rows]
        found.append(
            {
                "number": line + 1,
                "only_tough": only_tough,
                "rows": shown,
                "notes": [(mark, words) for words, mark in notes.items()],
            }
        )
    return found


def _where(when: str, notes: dict[str, str]) -> str:
    if not when:
        return "Always"
    if len(when) <= LONGEST_WHERE:
        return when[:1].upper() + when[1:]
    return f"Note {notes.setdefault(when, ascii_lowercase[len(notes) % 26] * (1 + len(notes) // 26))}"


def _sources(rows: Iterable[Mapping[str, Any]]) -> list[Mapping[str, str]]:
    found = {source["url"]: source for row in rows for source in row["sources"]}
    return list(found.values())


def _lines(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    numbers = dict.fromkeys(g["line"] for g in content["entered"] if g["line"] is not None)
    return [
        {
            "number": number + 1,
            "process": next(g["process"] for g in content["entered"] if g["line"] == number),
            "groups": [
                g for g in content["entered"] if g["line"] == number and (g["rows"] or g["not_stated"])
            ],
        }
        for number in numbers
    ]


def _day(moment: str) -> str:
    return datetime.fromisoformat(moment).date().isoformat() if moment else ""

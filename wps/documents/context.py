"""From a record's content to what its document prints: everything here is arrangement, nothing is judged."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from qualification.codes.editions import is_iso
from qualification.evidence.sides import parted
from qualification.models import CouponRecord, Record, State, UnitSystem
from qualification.records.approving import frozen_content
from qualification.rules.core import words
from qualification.rules.core.findings import Provenance
from qualification.snapshots.snapshot import test_content
from wps.documents.bands import coupon_bands_of, findings_of, sheet_of
from wps.documents.cautions import WHO_DECIDES, cautions_of
from wps.documents.iso_terms import in_terms_of
from wps.documents.pass_table import pass_table
from wps.documents.range_rows import range_groups, rows_left_out
from wps.documents.result_tables import other_tests, result_tables, results_once
from wps.documents.sketch import AT_THE_MIDDLE, is_wide, sketch_of
from wps.documents.waveforms import drawn_waveforms
from wps.models import Spec

UNCONFIRMED = Provenance.MEMORY.value
CONFIRMED_BY = re.compile(
    r"^(?P<done>Confirmed|Corrected) by (?P<person>.+?) on (?P<day>\d{4}-\d{2}-\d{2}) against "
)
"""How the remark of a row begins that the shop has held against its copy."""
LINES_TO_SIGN = 3
"""Empty lines for uses of the process on a certificate that a log of uses keeps."""
VALIDITY_NOTE = (
    "A line signed on paper counts in the shop's records once it is entered there. Each confirmation carries"
    " on from its own day; one missed ends the qualification."
)


def content_of(record: Record) -> dict[str, Any]:
    """What is printed of a record: the snapshot once there is one, else its present content."""
    if record.snapshot is not None:
        return {**record.snapshot, "state": record.state}
    return frozen_content(record) if isinstance(record, Spec) else test_content(_coupon(record))


def _coupon(record: Record) -> CouponRecord:
    assert isinstance(record, CouponRecord)
    return record


def sketch_context(content: Mapping[str, Any], *, symbols: bool = False) -> dict[str, Any]:
    """The drawing of the joints for a template; with `symbols` several joints have theirs too."""
    sketch = sketch_of(
        content["joint"],
        content["units"],
        content["lines"],
        shown=content.get("shown", ""),
        iso=is_iso(content["edition"]),
        log=content.get("passes", ()),
        symbols=symbols,
    )
    return {
        "sketch": sketch,
        "sketch_wide": is_wide(sketch),
        "sketch_note": AT_THE_MIDDLE if AT_THE_MIDDLE in sketch else "",
        "sketch_units": "mm" if (content.get("shown") or content["units"]) == "si" else "inches",
    }


def document_context(content: Mapping[str, Any]) -> dict[str, Any]:
    """The template's context, from content alone."""
    content = in_terms_of(content)
    state = State(content["state"])
    rows = list(_cited_rows(content))
    shared, by_line = findings_of(content)
    return {
        **sketch_context(content),
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
        "range_groups": range_groups(content),
        "toughness_rows": rows_left_out(content),
        "result_tables": result_tables(content["outcome"]) if "outcome" in content else (),
        "results_once": results_once(content["outcome"]) if "outcome" in content else (),
        "other_tests": other_tests(content["outcome"]) if "outcome" in content else (),
        "passes": pass_table(content.get("pass_log")),
        "unconfirmed": unconfirmed_in(content),
        "unconfirmed_clauses": clauses_of(unconfirmed_in(content)),
        "cautions": cautions_of(content),
        "who_decides": WHO_DECIDES,
        "good_until": content.get("good_until"),
        "photo_place": content["shop"].get("photo_place", True),
        "measured_here": True,
        "confirmed": confirmed_in(rows),
        "sheet": sheet_of(content),
        "changed_labels": _changed_labels(content),
        "moved": 0,
        "certificate_bands": coupon_bands_of(content),
        "first_bands": ("Joint", "Base metals", "Position"),
        "continuity_lines": range(LINES_TO_SIGN),
        "shared_findings": shared,
        "finding_lines": by_line,
        "kept_in": UnitSystem(content["units"]).label,
        "validity": _validity(content),
        "validity_note": VALIDITY_NOTE,
        "waveforms": drawn_waveforms(content),
    }


def _changed_labels(content: Mapping[str, Any]) -> set[str]:
    """Labels that take a bar; what changed of one side also where both stand under one label."""
    found = set()
    for each in content.get("changes", ()):
        label = parted(each["label"])[0]
        found |= {each["label"], label, f"{label} of both sides", f"{label}, both sides"}
    return found


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


def clauses_of(numbers: Iterable[str]) -> list[str]:
    """The clauses alone, each once: `5.2, 5.6 (process)` names two, `QW-153.1(a), (b)` is one."""
    bare = (re.split(r"(?<!,) \(", each)[0] for each in numbers)
    named = (clause for each in bare for clause in re.split(r", (?!\()", each))
    return list(dict.fromkeys(named))


def unconfirmed_in(content: Mapping[str, Any]) -> list[str]:
    """Numbers nobody has confirmed that a document rests on: of its range or its findings, of the tests its
    coupon had to pass, of what their results had to show, and of how long it holds."""
    found = {
        f"{row['clause']} ({words.within_sentence(row['label'])})"
        for row in _cited_rows(content)
        if row["provenance"] == UNCONFIRMED
    }
    for line in content.get("outcome", {}).get("lines", []):
        checks = (check["citation"] for result in line["results"] for check in result["checks"])
        cited = [each for each in (line["citation"], *checks) if each and each["provenance"] == UNCONFIRMED]
        found |= {f"{each['clause']} ({words.within_sentence(line['asked'])})" for each in cited}
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


def confirmed_in(rows: Iterable[Mapping[str, Any]]) -> list[str]:
    """Who has held which numbers against the shop's copy and when, a sentence for each person and day."""
    found: dict[tuple[str, str, str], dict[str, None]] = {}
    for row in rows:
        if row["provenance"] == Provenance.SHOP.value and (said := CONFIRMED_BY.search(row["remark"])):
            found.setdefault((said["done"], said["person"], said["day"]), {})[row["clause"]] = None
    return [
        f"{', '.join(clauses)}: {done.lower()} by {person}, {day}."
        for (done, person, day), clauses in found.items()
    ]


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

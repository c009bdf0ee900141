"""The content of a test record and of the letterhead as plain JSON: what approval freezes and documents
print.

A document prints this and nothing else, so a paper issued from a snapshot can always be made again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from qualification.evidence.checks import checks_of_test
from qualification.evidence.coverage import USES, coupon_of, edition_of, outcome_of, range_of, read_record
from qualification.models import CouponRecord, ProcedureTest, Shop, WelderTest
from qualification.records.differences import differences
from qualification.records.pass_log import log_content
from qualification.rules.core.program import program
from qualification.rules.core.words import within_sentence
from qualification.rules.editions.edition_facts import kind_of
from qualification.rules.entries import answer_words
from qualification.rules.entries.derive import derive
from qualification.rules.entries.showing import EnteredGroup, entered_groups
from qualification.rules.materials.grouping import explain_groups, group
from qualification.rules.ranges.ranges import TestRange
from qualification.rules.required.check import asks_for
from qualification.rules.tabular.edition import Edition
from qualification.rules.testing.outcome_words import citation_content, outcome_content
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from qualification.rules.welders.continuity import ContinuityRules, add_months
from qualification.rules.welders.designation_records import written
from qualification.rules.welders.validity_tables import ValidityRules
from qualification.waveforms.content import waveforms_behind
from qualification.welders.validity import validity_content

HEADS = {
    "title": "Title",
    "edition": "Code edition",
    "units": "Units",
    "welded_on": "Welded on",
    "spec_followed": "WPS followed",
    "laboratory": "Laboratory",
    "report_number": "Report number",
    "witness": "Witness or examiner",
    "notes": "Notes",
}
"""Plain fields of a test that a list of changes names."""


def shop_content() -> dict[str, Any]:
    """The letterhead as it stands."""
    shop = Shop.current()
    return {
        "name": shop.name,
        "address": shop.address_lines,
        "phone": shop.phone,
        "email": shop.email,
        "logo": shop.logo.name if shop.logo else "",
        "responsible": shop.responsible_person,
        "inch_first": shop.inch_first,
        "photo_place": shop.photo_place,
    }


def edition_content(edition: Edition) -> dict[str, Any]:
    """Which tables the record was judged on, and what their rules rest on."""
    return {
        "key": edition.id,
        "name": edition.name,
        "title": edition.title,
        "fingerprint": edition.fingerprint,
        "kind_words": kind_of(edition).words,
    }


def test_content(record: CouponRecord, shown: str = "") -> dict[str, Any]:
    """A test record: entries, results with outcome, range of qualification or the reasons for none; in words
    with the unit system `shown` first, which is the record's own unless another is named."""
    shown = shown or record.units
    edition = edition_of(record.edition)
    coupon = coupon_of(record)
    welder = record.welder
    return {
        **record.content(),
        "program": program(),
        "kind": record.KIND,
        "state": record.state,
        "shop": shop_content(),
        "code": edition_content(edition),
        "author_name": record.author_name,
        "approved_by": record.approved_by_name,
        "approved_at": record.approved_at.isoformat() if record.approved_at else "",
        "welder_name": welder.name if welder else "",
        "welder_stamp": welder.stamp if welder else "",
        **_person(record, edition),
        "shown": shown,
        "entered": [g.as_json() for g in _entered(record, edition, shown)],
        "outcome": outcome_content(outcome_of(record), shown),
        "refusals": list(coupon.refusals),
        "checks": [each.as_json() for each in checks_of_test(record, shown)],
        "range": range_rows(range_of(record), shown),
        "revisions": revision_list(record),
        "changes": changes_since_last(record, USES[type(record)], HEADS),
        "designation": _designation(record, edition),
        "validity": _validity(record, edition),
        "good_until": _good_until(record, edition),
        "waveforms": waveforms_behind(record),
        **_passes(record, shown),
    }


def _passes(record: CouponRecord, shown: str) -> dict[str, Any]:
    if not isinstance(record, ProcedureTest):
        return {}
    return {"pass_log": log_content(record.passes, record.units, shown)}


def _person(record: CouponRecord, edition: Edition) -> dict[str, str]:
    """What is said of the welder's person, and only where the code wants it on the record."""
    welder = record.welder
    said = {"birth": welder.birth, "identification": welder.identified_by} if welder else {}
    return {
        f"welder_{name}": text for name, text in said.items() if asks_for(edition, USES[type(record)], name)
    }


def _entered(record: CouponRecord, edition: Edition, shown: str) -> tuple[EnteredGroup, ...]:
    weld = read_record(record).weld
    grouped, whole = explain_groups(weld, edition), derive(group(weld, edition))
    return entered_groups(
        record.joint, record.lines, USES[type(record)], record.units, grouped, edition.speaks, shown, whole
    )


def _designation(record: CouponRecord, edition: Edition) -> dict[str, list[str]] | None:
    """What the code calls a welder's test in one string, or what has to be stated first; `None` where it has
    no such strings."""
    found = written(read_record(record).weld, edition) if isinstance(record, WelderTest) else None
    return (
        None
        if found is None
        else {"texts": list(found.texts), "needs": [registry()[key].label for key in found.needs]}
    )


def _validity(record: CouponRecord, edition: Edition) -> dict[str, Any] | None:
    """How the qualification is kept beyond the coupon, where it is confirmed and prolonged."""
    rules = edition.more.get("continuity")
    if not isinstance(record, WelderTest) or not isinstance(rules, ValidityRules):
        return None
    return validity_content(record, rules)


def _good_until(record: CouponRecord, edition: Edition) -> dict[str, Any] | None:
    """Until when a welder's test holds by itself where uses of the process keep it, and by which clause;
    `None` where nothing says so."""
    rules = edition.more.get("continuity")
    if not isinstance(record, WelderTest) or not isinstance(rules, ContinuityRules) or not record.welded_on:
        return None
    return {
        "day": add_months(record.welded_on, rules.months).isoformat(),
        "months": rules.months,
        "citation": citation_content(rules.lapse),
    }


def range_rows(tested: TestRange, system: str) -> list[dict[str, Any]]:
    """The range in words, a row per limit that binds, in the order in which the registry lists variables."""
    order = {key: position for position, key in enumerate(registry())}
    rows = [
        answer_words.row_of_limit(limit, system, line.line)
        for line in tested.lines
        for limit in line.limits
        if limit.standing.value != "nonessential"
    ]
    return [row.as_json() for row in sorted(rows, key=lambda row: (row.line or 0, order[row.variable]))]


def revision_list(record: Any) -> list[dict[str, Any]]:
    """Revisions up to this one, oldest first, each with what it changed."""
    return [
        {
            "revision": r.revision,
            "change": r.change_note,
            "author": r.author_name,
            "approved_by": r.approved_by_name,
            "approved_at": r.approved_at.date().isoformat() if r.approved_at else "",
        }
        for r in record.revisions().filter(revision__lte=record.revision).order_by("revision")
    ]


def changes_since_last(record: Any, use: RecordKind, heads: Mapping[str, str]) -> list[dict[str, str]]:
    """What differs from the revision before, entry by entry in words; nothing in a first issue."""
    before = record.revisions().filter(revision__lt=record.revision).order_by("-revision").first()
    if before is None:
        return []
    found = [
        {"where": each.where, "label": each.label, "before": each.before, "after": each.after}
        for each in differences(before.content(), record.content(), use, heads)
    ]
    was, now = _beside(before), _beside(record)
    return found + [
        {"where": "", "label": label, "before": was.get(label, "none"), "after": now.get(label, "none")}
        for label in {**was, **now}
        if was.get(label) != now.get(label)
    ]


def _beside(record: Any) -> dict[str, str]:
    """What stands beside the entries, each in one line: the welder, every result and every pass of a coupon,
    the tests behind a procedure."""
    if not isinstance(record, CouponRecord):
        return {
            "Supporting tests": ", ".join(sorted(each.reference for each in record.tests.all())) or "none"
        }
    welder = record.welder
    found = {"Welder": f"{welder.name}, {welder.stamp}"} if welder else {}
    for line in outcome_content(outcome_of(record), record.units)["lines"]:
        for each in line["results"]:
            stated = (f"{within_sentence(row['label'])} {row['words']}" for row in each["stated"])
            found[each["name"]] = ", ".join(stated) or "nothing stated"
    if isinstance(record, ProcedureTest):
        for number, row in enumerate(log_content(record.passes, record.units, record.units)["rows"], 1):
            found[f"Pass {row[0] or number}"] = ", ".join(words for words in row[1:] if words)
    return found

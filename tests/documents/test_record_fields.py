"""No field that a code's record carries is lost on its paper: a record is filled whole, and every value is
found where it is printed."""

from __future__ import annotations

import html
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User

from qualification.evidence.coverage import edition_of
from qualification.evidence.sides import parted
from qualification.models import Record, Shop
from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.testing.result_fields import FIELDS, Shape
from qualification.rules.testing.results import ResultKind
from qualification.rules.variables.definition import PROCESSES, Level, RecordKind, ValueKind, Variable
from qualification.rules.variables.registry import registry
from tests.documents.test_page_and_document import on_the_sheet
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.documents.bands import Band, Pair, Settings, Sheet, Sides, sheet_of
from wps.documents.context import content_of, document_context
from wps.documents.iso_terms import in_terms_of
from wps.documents.issue import words_of
from wps.documents.render import render_html
from wps.models import Spec

LISTED = tomllib.loads((Path(__file__).parent / "record_fields.toml").read_text())
USES = {
    "procedure": RecordKind.SPEC,
    "procedure test": RecordKind.TEST,
    "welder test": RecordKind.WELDER_TEST,
}
PROCEDURES = (
    "asme_ix_2023",
    "aws_d1_1_2020",
    "aws_d1_2_2014",
    "iso_15614_1_2017_level1",
    "iso_15614_1_2017_level2",
    "iso_15614_2_2005",
    "us_navy_248_rev_1",
)
WELDERS = (
    "asme_ix_2023",
    "aws_d1_1_2020",
    "aws_d1_2_2014",
    "iso_9606_1_2012",
    "iso_9606_2_2004",
    "us_navy_248_rev_1",
)
ENTRIES = {ValueKind.METAL: "6061", ValueKind.FILLER: "ER5356", ValueKind.GAS: "100Ar"}


def entry(variable: Variable, use: RecordKind) -> str:
    """An entry of a variable: the choice that brings most other fields with it, a number in the middle of
    what is plausible, or a text of its own."""
    if variable.key in ("base_metal_b", "thickness_b"):
        return "same"
    if variable.kind is ValueKind.CHOICE:
        opened = {
            choice
            for each in registry().values()
            if each.shown_when and each.shown_when[0] == variable.key
            for choice in each.shown_when[1]
        }
        keys = [choice.key for choice in variable.choices]
        if use in variable.many:
            return "; ".join(variable.choice_label(key) for key in keys[:6])
        return next((key for key in keys if key in opened), keys[0])
    if variable.kind is ValueKind.NUMBER:
        dimension = DIMENSIONS[str(variable.dimension)]
        low, high = variable.plausible or (1, 40)
        return f"{(low + (high - low) / 7):.1f} {dimension.canonical.symbol}".strip()
    return ENTRIES.get(variable.kind, f"Words of {variable.key.replace('_', ' ')}")


def filled(
    level: Level, use: RecordKind, speaks: frozenset[str], weld: str, process: str = ""
) -> dict[str, str]:
    """Every field of a level that a form of this kind shows."""
    found = {"process": process} if process else {"weld_type": weld}
    before = -1
    while len(found) > before:  # what one entry shows may show another in turn
        before = len(found)
        for key, variable in registry().items():
            asked = use in variable.uses and variable.asked_by(speaks) and not variable.derived
            welded = not process or process in variable.processes
            shown = variable.shown_when is None or _shown(variable.shown_when, found)
            if variable.level is level and key not in found and asked and welded and shown:
                found[key] = entry(variable, use)
    return found


def result(kind: ResultKind, name: str) -> dict[str, str]:
    """A specimen of a kind with every one of its fields."""
    found = {"kind": str(kind)}
    for number, each in enumerate(FIELDS[kind], 3):
        if each.shape in (Shape.CHOICE, Shape.YES_NO):
            found[each.key] = each.choices[-1].key
        elif each.shape is Shape.NUMBER:
            dimension = DIMENSIONS[each.dimension]
            low, high = each.plausible or (1, 40)
            digits = 0 if each.dimension == "count" else 1
            found[each.key] = (
                f"{(low + (high - low) / number):.{digits}f} {dimension.canonical.symbol}".strip()
            )
        elif each.shape is Shape.NUMBERS:
            unit = DIMENSIONS[each.dimension].canonical.symbol
            found[each.key] = "; ".join(f"{41 + step} {unit}".strip() for step in range(3))
        elif each.shape is Shape.OPENINGS:
            found[each.key] = "1.5 mm"
        elif each.shape is Shape.INDICATIONS:
            found[each.key] = "linear 3 mm"
        elif each.shape is Shape.TEXT:
            found[each.key] = f"{each.key.replace('_', ' ')} of {name}"
    return found


def _shown(when: tuple[str, frozenset[str]], entries: Mapping[str, str]) -> bool:
    key, choices = when
    said = entries.get(key, "")
    labels = {registry()[key].choice_label(choice) for choice in choices}
    return bool({part.strip() for part in said.split(";")} & (choices | labels))


def plain(markup: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def paper(record: Record, content: Mapping[str, Any], level: int = 0) -> str:
    template, words = words_of(record)
    context = {**document_context(content), **words, "moved": level, "notes_behind": level > 2}
    content = in_terms_of(content)
    context["measured_here"] = not level
    if isinstance(record, Spec):
        context["sheet"] = sheet_of(content, level)
    return plain(render_html(template, context, "letter"))


def rows(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [row for group in content["entered"] for row in group["rows"]]


def lost(content: Mapping[str, Any], given: Iterable[Mapping[str, str]], text: str) -> list[str]:
    """Entries that the record's paper does not print."""
    found = rows(in_terms_of(content))
    stated = {row["key"] for row in found}
    missing = [key for entries in given for key in entries if key not in stated]
    return missing + [
        f"{row['key']}: {said}" for row in found for said in on_the_sheet(row) if said not in text
    ]


def results_lost(content: Mapping[str, Any], given: Iterable[Mapping[str, str]], text: str) -> list[str]:
    """What the coupon's specimens showed and the paper does not print: every field that was filled in of a
    specimen the coupon takes, under its label and with its numbers."""
    filled_in = {each["specimen"]: each for each in given}
    text, found = text.casefold(), []
    for line in content["outcome"]["lines"]:
        for each in line["results"]:
            kind = ResultKind(filled_in[each["specimen"]]["kind"])
            stated = {row["label"]: row["words"] for row in each["stated"]}
            for field in FIELDS[kind]:
                if field.key in filled_in[each["specimen"]] and field.key != "specimen":
                    words = stated.get(field.label, "")
                    parts = re.findall(r"[−\d./]*\d", words) or [words]
                    parts = [part.casefold() for part in (field.label, *parts)]
                    said = bool(words) and all(part in text for part in parts)
                    found += [] if said else [f"{each['name']} {field.label}: {words}"]
    return found


def labels(part: Any) -> Iterable[str]:
    """Labels of everything a sheet has in its bands."""
    if isinstance(part, Pair):
        yield part.label
    elif isinstance(part, Sides):
        yield from part.labels
    elif isinstance(part, Settings):
        yield from (label for head in part.heads for label, _ in head)
        yield "Part of the joint"
    elif isinstance(part, Band):
        yield from labels(part.pairs)
    elif isinstance(part, tuple):
        for each in part:
            yield from labels(each)
    elif isinstance(part, Sheet):
        for each in fields(part):
            yield from labels(getattr(part, each.name))


RECORD = {
    "number": "FW-77",
    "revision": 3,
    "title": "Ladle bracket seam",
    "notes": "Kept in the blue folder.",
    "author_name": "Ines Okafor",
}
OF_A_COUPON = {
    **RECORD,
    "welded_on": date(2031, 3, 4),
    "laboratory": "Quay Test House",
    "report_number": "QT-4410",
    "spec_followed": "W-100 rev 5",
    "witness": "Bram Adeyemi",
}
ON_PAPER = ("FW-77", "rev 3", "Ladle bracket seam", "Kept in the blue folder.", "Ines Okafor", "Harbor Works")
COUPON_ON_PAPER = (
    "2031-03-04",
    "Quay Test House",
    "QT-4410",
    "W-100 rev 5",
    "Bram Adeyemi",
    "Ada Vale",
    "AV7",
)
PASSES = [
    {
        "pass": str(number),
        "process": "GMAW",
        "filler_diameter": "1.2 mm",
        "amps": f"15{number}",
        "volts": f"21.{number}",
        "wire_feed": f"41{number} ipm",
        "travel_speed": f"2{number} ipm",
        "interpass_max": f"9{number} °F",
        "note": f"read at clamp {number}",
    }
    for number in (1, 2)
]


@pytest.fixture
def works(shop: Shop) -> Shop:
    shop.name = "Harbor Works"
    shop.save()
    return shop


@pytest.mark.parametrize("code", PROCEDURES)
def test_a_procedure_prints_every_field_it_has(code: str, author: User, works: Shop) -> None:
    speaks = edition_of(code).speaks
    joint = filled(Level.JOINT, RecordKind.SPEC, speaks, "groove; fillet")
    lines = [filled(Level.LINE, RecordKind.SPEC, speaks, "", process) for process in PROCESSES]
    support = procedure_test(author, "PT-033", edition=code)
    record = spec(author, support, edition=code, **RECORD, customer="Lakeside Yard")
    record.joint, record.lines = joint, lines
    content = content_of(record)
    text = paper(record, content, 2)
    assert lost(content, (joint, *lines), text) == []
    for said in (*ON_PAPER, "Lakeside Yard", "PT-033", content["code"]["name"]):
        assert said in text
    said = in_terms_of(content)
    stated = {parted(row["label"])[0] for row in rows(said)}
    for level in (0, 1, 2, 3):
        assert stated - {"Process"} <= set(labels(sheet_of(said, level)))
    assert 'class="sketch"' in document_context(content)["sketch"]


@pytest.mark.parametrize(("weld", "level"), [("groove", 0), ("fillet", 3)])
@pytest.mark.parametrize("code", PROCEDURES)
def test_a_procedure_test_prints_every_field_it_has(
    code: str, weld: str, level: int, author: User, works: Shop
) -> None:
    speaks = edition_of(code).speaks
    joint = filled(Level.JOINT, RecordKind.TEST, speaks, weld)
    lines = [filled(Level.LINE, RecordKind.TEST, speaks, "", process) for process in PROCESSES]
    results = [result(kind, f"{kind} {side}") for kind in ResultKind for side in "ab"]
    changes = {"welder": welder("AV7", "Ada Vale"), "passes": PASSES, "results": results, "state": "draft"}
    record = procedure_test(author, edition=code, **OF_A_COUPON, **changes)
    record.joint, record.lines = joint, lines
    content = content_of(record)
    text = paper(record, content, level)
    assert lost(content, (joint, *lines), text) == []
    for said in (*ON_PAPER, *COUPON_ON_PAPER, content["code"]["name"]):
        assert said in text
    for each in PASSES:
        for said in each.values():
            assert said.split(" ipm")[0].split(" °F")[0].removesuffix(" mm") in text
    assert results_lost(content, results, text) == []


@pytest.mark.parametrize(("weld", "level"), [("groove", 0), ("fillet", 3)])
@pytest.mark.parametrize("code", WELDERS)
def test_a_welders_test_prints_every_field_it_has(
    code: str, weld: str, level: int, author: User, works: Shop
) -> None:
    speaks = edition_of(code).speaks
    joint = filled(Level.JOINT, RecordKind.WELDER_TEST, speaks, weld)
    lines = [filled(Level.LINE, RecordKind.WELDER_TEST, speaks, "", process) for process in PROCESSES]
    results = [result(kind, f"{kind} {side}") for kind in ResultKind for side in "ab"]
    changes = {"results": results, "state": "draft"}
    record = welder_test(author, welder("AV7", "Ada Vale"), edition=code, **OF_A_COUPON, **changes)
    record.joint, record.lines = joint, lines
    content = content_of(record)
    text = paper(record, content, level)
    missing = [key for entries in (joint, *lines) for key in entries if key not in _keys(content)]
    assert missing == []
    assert [row["key"] for row in rows(content) if row["words"] not in text] == []
    for said in (*ON_PAPER, *COUPON_ON_PAPER, content["code"]["name"]):
        assert said in text
    assert results_lost(content, results, text) == []
    if "iso" in speaks:
        assert "1991-02-17" in text
        assert "Identity card" in text


def _keys(content: Mapping[str, Any]) -> set[str]:
    return {row["key"] for row in rows(content)}


@pytest.mark.parametrize("listed", LISTED["field"], ids=lambda listed: listed["name"])
def test_every_field_of_the_trades_papers_is_one_of_a_record(listed: dict[str, Any]) -> None:
    """Each listed field is entered on one of the records it stands on, or stands beside the entries."""
    uses = {USES[kind] for kind in listed["on"]}
    assert set(listed.get("source", ())) <= set(LISTED["sources"])
    assert listed.get("entries") or listed.get("record") or listed.get("results")
    for key in listed.get("entries", ()):
        assert registry()[key].uses & uses, key
    for name in listed.get("results", ()):
        assert FIELDS[ResultKind(name)]

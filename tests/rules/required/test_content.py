"""What a record has to state: every item is noticed when it is missing, and every row of the tables is tried.

The lists of what is asked are worked by us from the sheets the tables name as their sources.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from qualification.rules.editions.loader import edition, editions, shipped_files
from qualification.rules.entries.reading import read_weld
from qualification.rules.required.check import Status, check_content, missing
from qualification.rules.required.items import Content, read_content
from qualification.rules.required.words import obstacles, say_counts
from qualification.rules.tabular.edition import ROOT, Edition, read_files
from qualification.rules.tabular.schema import Book, TableError, TablePlace
from qualification.rules.variables.definition import RecordKind
from tests.rules.readers.content_case_files import Case, cases, complaint, place_of
from tests.rules.test_mutations import changes, leaves, with_change

FAMILIES = {
    path.stem: [
        e for e in editions() if edition(e).family == path.stem and shipped_files(e).get("content.toml")
    ]
    for path in sorted((ROOT / "content").glob("*.toml"))
}
CASES = [pytest.param(case, id=f"{family}: {case.title}") for family in FAMILIES for case in cases(family)]


def test_every_edition_says_what_its_records_have_to_state() -> None:
    assert [name for name in editions() if not isinstance(edition(name).more.get("content"), Content)] == []


@pytest.mark.parametrize("case", CASES)
def test_a_record_that_states_everything_wants_for_nothing(case: Case) -> None:
    assert complaint(case, edition(case.edition)) == ""


@pytest.mark.parametrize("case", CASES)
def test_each_item_left_out_is_noticed(case: Case) -> None:
    made = edition(case.edition)
    unnoticed = []
    for item in case.record.items(made):
        left_out = case.record.without(item).items(made)
        if place_of(item) not in {
            place_of(other) for other in missing(left_out)
        } and not _follows_from_others(item.names, case, made):
            unnoticed.append(place_of(item))
    assert unnoticed == []


def _follows_from_others(names: tuple[str, ...], case: Case, made: Edition) -> bool:
    """Groups of metals and fillers follow from their names, so that leaving them out loses nothing."""
    bare = replace(
        case.record,
        joint={k: e for k, e in case.record.joint.items() if k.startswith(("base_metal", *names))},
        lines=tuple(
            {k: e for k, e in line.items() if k.startswith(("filler_classification", "process", *names))}
            for line in case.record.lines
        ),
    )
    derived = {place_of(i) for i in bare.items(made) if i.status is Status.STATED}
    return any(place.endswith("|".join(names)) for place in derived)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_row_is_tried(family: str) -> None:
    tried: set[str] = set()
    for case in cases(family):
        tried |= {item.because for item in case.record.items(edition(case.edition))}
    rows = [
        row
        for name in FAMILIES[family]
        for listed in edition(name).more["content"].rows.values()
        for row in listed
    ]
    assert sorted({row.because for row in rows} - tried) == []


@pytest.mark.parametrize("family", FAMILIES)
def test_each_row_dropped_or_changed_is_noticed(family: str) -> None:
    by_edition = {name: [case for case in cases(family) if case.edition == name] for name in FAMILIES[family]}
    name = next(name for name in FAMILIES[family] if by_edition[name])
    shared = {"content.toml": shipped_files(name)["content.toml"]}
    asked = [case for listed in by_edition.values() for case in listed]
    unnoticed = [what for what, raw in _spoilt(shared) if not _noticed(raw["content.toml"], asked)]
    assert unnoticed == []


def _spoilt(files: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each row left out, each list of it shortened, each need turned round."""
    for section in ("procedure", "procedure_test", "welder_test"):
        rows = files["content.toml"].get(section, {}).get("row", [])
        for index, row in enumerate(rows):
            path = ("content.toml", section, "row")
            yield (
                f"{section} {index + 1} dropped",
                with_change(files, path, [*rows[:index], *rows[index + 1 :]]),
            )
            turned = {**row, "need": "habit" if row["need"] == "required" else "required"}
            yield (
                f"{section} {index + 1} need",
                with_change(files, path, [*rows[:index], turned, *rows[index + 1 :]]),
            )
    for path, value in leaves(files):
        if path[-1] != "source":
            for changed, _ in changes(value):
                yield (
                    f"{'/'.join(map(str, path))}: {value!r} -> {changed!r}",
                    with_change(files, path, changed),
                )


def _noticed(raw: dict[str, Any], asked: list[Case]) -> bool:
    """Whether the spoilt table is refused, or a case complains: that one is asked first of the next change,
    which is most often one of the same row."""
    spoilt: dict[str, Edition] = {}
    for case in asked:
        if case.edition not in spoilt:
            made = edition(case.edition)
            book = Book(made.code, made.edition, made.sources)
            place = TablePlace(case.edition, "content.toml", book=book)
            try:
                content = read_content(raw, place)
            except TableError:
                return True
            spoilt[case.edition] = replace(made, more={**made.more, "content": content})
        if complaint(case, spoilt[case.edition]):
            asked.remove(case)
            asked.insert(0, case)
            return True
    return False


BAD = {
    "an unknown key": ({"variables": ["pwht"], "wants": "x"}, "wants"),
    "a variable that record does not state": (
        {"variables": ["test_position"]},
        "does not state test_position",
    ),
    "a field that record does not have": ({"fields": ["laboratory"]}, "not a field"),
    "nothing to be stated": ({}, "exactly one of"),
    "two ways at once": ({"variables": ["pwht"], "fields": ["number"]}, "exactly one of"),
    "a need nobody knows": ({"variables": ["pwht"], "need": "wanted"}, "wanted"),
    "something left out of nothing": (
        {"variables": ["pwht"], "leaving_out": ["amps"]},
        "leaves something out",
    ),
    "a condition of another level": ({"variables": ["pwht"], "when": {"process": ["GMAW"]}}, "stated once"),
    "published without a page": ({"variables": ["pwht"], "provenance": "published"}, "names no source"),
}


@pytest.mark.parametrize("title", BAD)
def test_a_row_that_cannot_be_right_is_refused(title: str) -> None:
    change, words = BAD[title]
    row = {"clause": "1.2", "need": "required", "because": "It is asked.", "provenance": "memory", **change}
    with pytest.raises(TableError, match=words):
        read_content({"procedure": {"row": [row]}}, TablePlace("invented", "content.toml"))


def test_two_rows_that_ask_for_the_same_are_refused() -> None:
    row = {
        "clause": "1.2",
        "need": "required",
        "because": "It is asked.",
        "provenance": "memory",
        "variables": ["pwht"],
    }
    with pytest.raises(TableError, match="asks for the same as"):
        read_content({"procedure": {"row": [row, row]}}, TablePlace("invented", "content.toml"))


def _items(joint: dict[str, str], line: dict[str, str]) -> Any:
    made = edition("asme_ix_2023")
    read = read_weld(joint, [{"process": "GMAW", **line}], RecordKind.SPEC, "us", speaks=made.speaks)
    return {
        item.names[0]: item
        for item in check_content(
            made, RecordKind.SPEC, read.weld, {}, {(p.line, p.key) for p in read.problems}
        )
    }


def test_not_applicable_is_an_answer_and_a_blank_is_none() -> None:
    found = _items({"preheat_maintenance": "n/a"}, {})
    assert found["preheat_maintenance"].status is Status.NOT_APPLICABLE
    assert found["pwht"].status is Status.MISSING
    assert say_counts(list(found.values())).endswith("1 of them stated as not applicable")


def test_what_another_entry_makes_meaningless_does_not_arise() -> None:
    assert "groove_type" not in _items({"weld_type": "fillet"}, {})
    assert _items({"weld_type": "groove"}, {})["groove_type"].status is Status.MISSING


def test_what_hangs_on_a_missing_entry_is_open_and_blocks_nothing_itself() -> None:
    found = _items({}, {})
    assert found["electrode_spacing"].status is Status.OPEN
    assert not any("electrode spacing" in sentence for sentence in obstacles(list(found.values())))
    assert found["electrodes"].status is Status.MISSING


def test_an_entry_that_cannot_be_read_is_not_called_missing() -> None:
    assert _items({}, {"amps": "plenty"})["amps"].status is Status.STATED


def test_a_sentence_names_line_label_reason_and_clause() -> None:
    said = obstacles(list(_items({}, {}).values()))
    assert any(
        s.startswith("Process 1, cup or nozzle bore: not stated.")
        and "QW-410.3 (ASME BPVC Section IX, 2023)" in s
        for s in said
    )
    assert not any(s.startswith("Customer") for s in said)


def test_a_file_may_share_its_first_rows_and_bring_their_sources_along() -> None:
    files = read_files(ROOT / "iso_9606_2_2004")
    assert "shared" not in files["content.toml"]
    assert "source" not in files["content.toml"]
    assert {"EA9606", "EXAM"} <= {each["key"] for each in files["sources.toml"]["source"]}


def test_a_table_to_share_that_is_not_there_is_refused(tmp_path: Path) -> None:
    (tmp_path / "content.toml").write_text('shared = "nowhere"')
    with pytest.raises(TableError, match="there is no table 'nowhere' to share"):
        read_files(tmp_path)

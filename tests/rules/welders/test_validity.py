"""Qualifications that are confirmed and prolonged: the days written by hand, and what the reader refuses."""

from __future__ import annotations

import copy
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from qualification.rules.editions.loader import build, edition, editions
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.schema import TableError
from qualification.rules.welders.continuity import PassedTest, Validity
from qualification.rules.welders.validity import Prolongation, validity, weighed
from tests.rules.readers.validity_cases import AL, DAYS, EDITIONS, START, STEEL, Day, ask, wrongly_signed


@pytest.mark.parametrize("day", [d for d in DAYS if d.edition in editions()], ids=lambda d: d.title)
def test_a_day_comes_out_as_written(day: Day) -> None:
    found = ask(day, edition(day.edition))
    assert (found.state, found.holds_until.isoformat() if found.holds_until else None) == (
        day.state,
        day.until,
    )
    assert found.because.endswith(".")


def test_a_coupon_without_its_day_is_unknown() -> None:
    found = validity(PassedTest("WT-1", "GMAW", "manual", None), START, edition(AL).more["continuity"])
    assert (found.state, found.needs) == (Validity.UNKNOWN, ("welded_on",))


def test_the_history_tells_the_prolongation_and_the_end() -> None:
    day = next(d for d in DAYS if d.title == "the prolongation ends in its turn")
    history = ask(day, edition(AL)).history
    assert [(e.change.value, e.day) for e in history] == [
        ("qualified", START),
        ("prolonged", date(2025, 1, 10)),
        ("lapsed", date(2027, 1, 11)),
    ]


@pytest.mark.parametrize("name", EDITIONS)
def test_who_signs_and_how_welds_are_examined(name: str) -> None:
    assert wrongly_signed(edition(name)) == []


def test_what_is_due_is_named_with_its_day() -> None:
    found = ask(next(d for d in DAYS if d.title == f"a confirmation carries on ({AL})"), edition(AL))
    assert [(due.day.isoformat(), due.what) for due in found.due] == [
        ("2024-01-10", "confirmation"),
        ("2025-01-15", "prolongation"),
    ]
    steel = ask(next(d for d in DAYS if d.title == "by retest it holds three years"), edition(STEEL))
    assert [due.what for due in steel.due] == ["new test", "confirmation"]
    assert (
        ask(
            next(d for d in DAYS if d.title == f"ends the day after without a confirmation ({AL})"),
            edition(AL),
        ).due
        == ()
    )


def test_what_does_not_count_says_why() -> None:
    """The days are those of `validity_cases`, worked by us."""
    rules = edition(AL).more["continuity"]
    confirmed = [date(2024, 1, 16), date(2023, 7, 15), date(2023, 1, 15)]
    welds = (date(2025, 1, 2), date(2025, 1, 3))
    prolonged = [
        Prolongation(date(2025, 1, 10), welds[:1]),
        Prolongation(date(2025, 1, 15), welds),
        Prolongation(date(2027, 1, 16), welds),
    ]
    found = weighed(START, rules, None, confirmed, prolonged)
    assert found.confirmed == (
        "It came after 15 January 2024, when the 6 months before it had ended.",
        "",
        "It does not lie after 15 January 2023, the day of the coupon.",
    )
    assert found.prolonged == (
        "It rests on 1 accepted weld of the 6 months before it; 2 are asked.",
        "",
        "It came after 15 January 2027, when the period had ended.",
    )
    by_retest = weighed(START, edition(STEEL).more["continuity"], "9.3 a", [], prolonged[1:2])
    assert by_retest.prolonged == ("The way on record, 9.3 a, knows none.",)
    not_chosen = weighed(START, edition(STEEL).more["continuity"], None, [], prolonged[1:2])
    assert not_chosen.prolonged == ("No way of going on is on record.",)


def _set(*path: Any) -> Callable[[dict[str, Any]], None]:
    *steps, last, value = path

    def change(raw: dict[str, Any]) -> None:
        node: Any = raw
        for step in steps:
            node = node[step]
        if value is None:
            del node[last]
        else:
            node[last] = value

    return change


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_set("start", None), "expected the sections"),
        (_set("confirmation", "months", 0), "not a span of time"),
        (_set("way", 0, "months", None), "a way by welds states"),
        (_set("way", 0, "welds", 0), "at least 1"),
        (_set("way", 0, "by", "luck"), "not one of"),
        (_set("way", 0, "by", "retest"), "a way by retest states months"),
        (_set("way", 0, "methods", None), "a way by welds states methods, months, welds, within"),
        (_set("way", 0, "methods", ["guess"]), "'guess' is not one of radiographic"),
        (_set("signatory", 0, "by", ["anybody"]), "'anybody' is not one of employer"),
        (
            _set("signatory", 1, "act", "confirmation"),
            "one signatory row for each of confirmation, prolongation",
        ),
        (_set("way", []), "expected"),
    ],
)
def test_the_reader_refuses_a_table_that_says_too_little(
    change: Callable[[dict[str, Any]], None], said: str
) -> None:
    files = copy.deepcopy(read_files(ROOT / AL))
    change(files["continuity.toml"])
    with pytest.raises(TableError, match=said):
        build(AL, files)


def test_no_way_with_a_period_is_refused() -> None:
    files = copy.deepcopy(read_files(ROOT / AL))
    files["continuity.toml"]["way"] = [
        {"key": "x", "by": "records", "because": "It holds on.", "clause": "9", "provenance": "memory"}
    ]
    with pytest.raises(TableError, match="one of them a period"):
        build(AL, files)


def test_every_edition_asked_about_is_one_that_ships() -> None:
    assert set(EDITIONS) <= set(editions())

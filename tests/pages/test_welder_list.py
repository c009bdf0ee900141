"""The list of welders, and adding, changing and retiring one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import ProcessUse, State, Welder
from qualification.records.history import history_about
from qualification.welders.changes import KIND
from tests.shop_records import welder, welder_test


@pytest.fixture(autouse=True)
def _today() -> Iterator[None]:
    with time_machine.travel(datetime(2031, 6, 10, 9, tzinfo=UTC), tick=False):
        yield


def test_each_welder_stands_with_the_processes_held_today(reader_client: Client, author: User) -> None:
    # Six months without use: QW-322.1(a), WI2. Welded on 4 March 2031, so to the end of 4 September.
    holding, lapsed, none = welder(), welder("BD", "Bo Delacroix"), welder("CZ", "Cyra Zeller")
    welder_test(author, holding, welded_on=date(2031, 3, 4))
    welder_test(author, lapsed, "WT-022", welded_on=date(2030, 11, 30))
    welder_test(author, none, "WT-023", state=State.DRAFT, welded_on=date(2031, 3, 4))
    answer = reader_client.get(reverse("welder_list"))
    rows = {
        each.stamp: [(s.process, s.words) for s in standings] for each, standings, _ in answer.context["rows"]
    }
    assert rows == {
        "AB": [("GMAW", "Holds until 2031-09-04")],
        "BD": [("GMAW", "Lapsed, held until 2031-05-30")],
        "CZ": [],
    }
    assertContains(answer, "No passed and approved test")
    assertContains(answer, "Standing today")


def test_a_test_that_failed_holds_nothing(reader_client: Client, author: User) -> None:
    welder_test(
        author,
        welder(),
        results=[{"kind": "visual", "specimen": "V1", "cracks": "yes", "complete_fusion": "yes"}],
    )
    ((_, standings, _),) = reader_client.get(reverse("welder_list")).context["rows"]
    assert not standings


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({"q": "berg"}, {"AB"}),
        ({"q": "cz"}, set()),
        ({"q": "cz", "all": "1"}, {"CZ"}),
        ({"all": "1"}, {"AB", "CZ"}),
        ({}, {"AB"}),
    ],
)
def test_welders_are_found_by_name_or_stamp(
    query: dict[str, str], found: set[str], reader_client: Client, db: None
) -> None:
    welder()
    Welder.objects.create(name="Cyra Zeller", stamp="CZ", active=False)
    answer = reader_client.get(reverse("welder_list"), query)
    assert {each.stamp for each, *_ in answer.context["rows"]} == found
    if not found:
        assertContains(answer, "No welder fits.")


def test_an_empty_shop_says_so(reader_client: Client) -> None:
    answer = reader_client.get(reverse("welder_list"))
    assertContains(answer, "There is no welder yet.")
    assertNotContains(answer, reverse("welder_add"))


def test_a_welder_is_added_and_changed_with_a_trail(author_client: Client) -> None:
    answer = author_client.post(
        reverse("welder_add"), {"name": "Dagny Ekholm", "stamp": "DE", "notes": "Tubes only."}, follow=True
    )
    assertContains(answer, "Dagny Ekholm (DE) is saved.")
    assertContains(answer, "Tubes only.")
    made = Welder.objects.get()
    author_client.post(
        reverse("welder_edit", args=[made.pk]), {"name": "Dagny Ekholm", "stamp": "DK", "notes": ""}
    )
    assert [(e.who, e.did, e.detail) for e in history_about(KIND, made.pk)] == [
        ("Maren Oosting", "changed it", "stamp, notes"),
        ("Maren Oosting", "started it", "name, stamp, notes"),
    ]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": " "}, "Enter the welder&#x27;s name."),
        ({"stamp": ""}, "Enter the mark this welder puts beside a weld."),
        ({"stamp": "ab"}, "Stamp ab belongs to Anouk Berglund. Choose another."),
        ({"stamp": "S" * 21}, "Stamp is 21 characters long. Shorten it to 20 or fewer."),
    ],
)
def test_a_wrong_entry_is_said_and_the_rest_kept(
    change: dict[str, str], sentence: str, author_client: Client, db: None
) -> None:
    welder()
    answer = author_client.post(
        reverse("welder_add"), {"name": "Dagny Ekholm", "stamp": "DE", "notes": "Tubes only.", **change}
    )
    assertContains(answer, sentence, count=2)
    assertContains(answer, "Tubes only.")
    assert Welder.objects.count() == 1


def test_a_welder_who_leaves_keeps_records_and_log_and_may_come_back(
    author_client: Client, author: User
) -> None:
    who = welder()
    ProcessUse.objects.create(
        welder=who,
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2031, 5, 2),
        evidence="Job J-3107",
        recorded_by_name="Maren Oosting",
    )
    url = reverse("welder_active", args=[who.pk])
    answer = author_client.post(url, {"active": "no"}, follow=True)
    assertContains(answer, "Anouk Berglund (AB) is marked as no longer active. Records and log stay.")
    assertContains(answer, "Job J-3107")
    author_client.post(url, {"active": "no"})
    assertRedirects(author_client.post(url, {"active": "yes"}), reverse("welder", args=[who.pk]))
    assert [e.did for e in history_about(KIND, who.pk)] == [
        "marked as active again",
        "marked as no longer active",
    ]

"""One search over everything: by any word, in close spellings, kept up to date whoever writes."""

from __future__ import annotations

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import Welder
from tests.shop_records import procedure_test, spec
from wps import upkeep
from wps.background.tasks import run_all
from wps.find import index, search
from wps.find.search import MOST, find
from wps.find.vocabulary import MOST_SPELLINGS, Vocabulary
from wps.find.words import asked_words, words_of
from wps.models import BackgroundTask, Job, Lot, Part, SearchDue, WeldEvent

pytestmark = pytest.mark.django_db


def _titles(text: str, kind: str = "") -> list[str]:
    return [hit.entry.title for hit in find(text, kind).hits]


@pytest.fixture
def shop_floor(author: User) -> Part:
    """A test, a procedure, a job with a weld that holds a lot, and a note on it."""
    test = procedure_test(author, number="PT-001", notes="The spool felt stiff after lunch.")
    spec(author, test, number="AL-04", title="Gangway deck")
    job = Job.objects.create(number="2107", title="Gangway", customer="Port Ellery", edition="asme_ix_2023")
    part = Part.objects.create(
        job=job,
        mark="L-2",
        title="Ladder",
        joint={"base_metal_a": "5083"},
        lines=[{"process": "GMAW", "shielding_gas": ["75He/25Ar"], "transfer_mode": "pulsed_spray"}],
    )
    Lot.objects.create(kind="filler", number="H-77310", material="ER5356", recorded_by_name="Maren Oosting")
    WeldEvent.objects.create(
        part=part, step="nde", done_on=date(2031, 5, 2), report="RT-118", recorded_by_name="Maren Oosting"
    )
    return part


@pytest.mark.parametrize(
    ("asked", "title"),
    [
        ("pt-001", "PT-001 rev 0 Gangway deck coupon"),  # a number
        ("pt001", "PT-001 rev 0 Gangway deck coupon"),  # without its hyphen
        ("AL 04", "AL-04 rev 0 Gangway deck"),  # in two words
        ("berglund", "Anouk Berglund AB"),  # a welder
        ("5083", "L-2 Ladder"),  # a metal
        ("pulsed spray 5083", "L-2 Ladder"),  # a choice by its words
        ("75he/25ar", "L-2 Ladder"),  # a gas
        ("77310", "H-77310 ER5356"),  # part of a heat
        ("rt-118", "L-2 nde"),  # a report of the log
        ("ELLERY", "2107 Gangway"),  # a customer
        ("stiff lunch", "PT-001 rev 0 Gangway deck coupon"),  # words of a note
        ("l-2", "L-2 Ladder"),  # a weld mark
    ],
)
def test_it_finds_by_any_word(asked: str, title: str, shop_floor: Part) -> None:
    Welder.objects.get_or_create(stamp="AB", defaults={"name": "Anouk Berglund"})
    assert title in _titles(asked)


def test_every_word_must_be_there(shop_floor: Part) -> None:
    assert set(_titles("gangway deck")) == {"AL-04 rev 0 Gangway deck", "PT-001 rev 0 Gangway deck coupon"}
    assert _titles("gangway ladder") == []


def test_a_name_comes_before_a_word_elsewhere_and_the_hit_says_where_it_stands(shop_floor: Part) -> None:
    found = find("5356")
    assert found.hits[0].entry.title == "H-77310 ER5356"
    assert found.hits[0].where is None
    in_a_note = next(hit for hit in find("stiff").hits)
    assert in_a_note.where == ("Notes", "The spool felt stiff after lunch.")
    assert dict(find("gangway").kinds) == {"Job": 1, "Procedure": 1, "Procedure test": 1}
    assert _titles("gangway", "Job") == ["2107 Gangway"]


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("gangwya", "gangway"),  # turned round
        ("gngway", "gangway"),  # one left out
        ("ganngwai", "gangway"),  # two in a long word
        ("77301 er5356", "h77310 er5356"),
        ("5038", "5083"),
        ("ellary", "ellery"),
    ],
)
def test_close_spellings_stand_apart(slip: str, meant: str, shop_floor: Part) -> None:
    found = find(slip)
    assert (found.hits, any(each in meant or meant in each for each in found.close)) == ((), True), found
    assert all(find(each).hits for each in found.close)


def test_a_slip_in_a_short_word_or_of_three_letters_is_not_guessed(shop_floor: Part) -> None:
    assert find("ga").close == ()
    assert find("gazzzay").close == ()


def test_what_comes_in_by_thousands_changes_or_goes_is_found_as_it_is(shop_floor: Part) -> None:
    assert _titles("mast") == []
    Part.objects.bulk_create(Part(job=shop_floor.job, mark=f"M-{n}", title="Mast") for n in range(MOST + 1))
    found = find("mast")
    assert (len(found.hits), found.has_more) == (MOST, True)
    Part.objects.filter(title="Mast").exclude(mark="M-3").delete()
    assert _titles("mast") == ["M-3 Mast"]
    with connection.cursor() as cursor:  # past the program
        cursor.execute("UPDATE wps_part SET title = 'Boom' WHERE title = 'Mast'")
    assert (_titles("mast"), _titles("boom")) == ([], ["M-3 Boom"])
    assert not SearchDue.objects.exists()


def test_a_new_name_of_a_job_or_welder_is_found_on_what_names_them(shop_floor: Part) -> None:
    assert "L-2 Ladder" in _titles("2107 ladder")
    Job.objects.filter(pk=shop_floor.job_id).update(number="2108")
    assert ("L-2 Ladder" in _titles("2108 ladder"), _titles("2107 ladder")) == (True, [])


def test_words_are_read_with_and_without_their_signs() -> None:
    assert list(words_of("AL-04, 1/4 in Émaux_2")) == [
        "al04",
        "al",
        "04",
        "1/4",
        "1",
        "4",
        "in",
        "emaux2",
    ] + [
        "emaux",
        "2",
    ]
    assert asked_words("AL-04 1/4") == ["al04", "1/4"]


def test_no_more_spellings_are_tried_than_it_takes() -> None:
    known = Vocabulary([f"w{n:04}" for n in range(500)])
    assert len(known.containing("w")) == MOST_SPELLINGS
    assert known.containing("w0007")[0] == "w0007"
    assert "w0123" in known.containing("123")
    assert known.containing("12") == []  # two letters are looked for at the beginning of words only


def test_the_page_shows_hits_by_kind_and_every_page_has_the_field(
    reader_client: Client, shop_floor: Part
) -> None:
    answer = reader_client.get(reverse("find"), {"q": "gangway"})
    assertContains(answer, "3 found.")
    assertContains(answer, "kind=Procedure")
    assertContains(reader_client.get(reverse("find"), {"q": "gangwya"}), "Close spellings")
    assertContains(reader_client.get(reverse("find"), {"q": "<b>zq"}), "none is spelled nearly so")
    assertContains(reader_client.get(reverse("find")), "any word of a note")
    assertContains(reader_client.get(reverse("job_list")), 'id="find-q"')


def test_the_single_key_can_be_turned_off(reader_client: Client) -> None:
    assertNotContains(reader_client.get(reverse("today")), 'data-key="off"')
    reader_client.post(reverse("look"), {"look": "light"})
    assertContains(reader_client.get(reverse("today")), 'data-key="off"')
    reader_client.post(reverse("look"), {"look": "light", "single_keys": "1"})
    assertNotContains(reader_client.get(reverse("today")), 'data-key="off"')


def test_only_who_may_read_finds(client: Client, outsider: User) -> None:
    url = reverse("find")
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")
    client.force_login(outsider)
    assert client.get(url).status_code == 403


def test_a_search_does_not_wait_for_a_large_import(shop_floor: Part, monkeypatch: pytest.MonkeyPatch) -> None:
    find("deck")
    monkeypatch.setattr(index, "AT_ONCE", 20)
    monkeypatch.setattr(search, "AT_ONCE", 20)
    Part.objects.bulk_create(Part(job=shop_floor.job, mark=f"M-{n}", units="us") for n in range(50))
    upkeep.queue_what_came_in()
    assert find("m-49").unread == 30  # on the way: as many as a search reads by itself
    run_all()
    upkeep.queue_what_came_in()
    assert list(BackgroundTask.objects.values_list("kind", "state", "done")) == [(index.TASK, "done", 30)]
    found = find("m-49")
    assert (found.unread, [hit.entry.title for hit in found.hits]) == (0, ["M-49"])

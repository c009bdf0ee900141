"""One coupon on several records: under another code, and as its welder's test; how much is left to type."""

from __future__ import annotations

from datetime import date
from itertools import zip_longest

import pytest
from django.contrib.auth.models import User
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.evidence.range_gaps import range_gaps
from qualification.forms.coupon import OF_ONE_COUPON, StartForm
from qualification.forms.results import ResultsForms
from qualification.models import ProcedureTest, Shop, State, WelderTest
from qualification.records.same_coupon import same_coupon_under
from qualification.rules.required.check import missing
from qualification.snapshots.required_items import coupon_items
from tests.pages.posts import results_post
from tests.shop_records import procedure_test, welder, welder_test

D12, NAVY = "aws_d1_2_2014", "us_navy_248_rev_1"
HEAD = ("title", "welder", "welded_on", "spec_followed", "laboratory", "report_number", "witness")


def typed_entries(test: ProcedureTest) -> int:
    """Fields that hold something on the record's form, its head and its results."""
    rows = sum(len([text for key, text in row.items() if text and key != "kind"]) for row in test.results)
    return (
        len(test.joint) + sum(map(len, test.lines)) + sum(bool(getattr(test, name)) for name in HEAD) + rows
    )


def still_asked(test: ProcedureTest) -> int:
    """Fields a code still wants before approval, or for the range."""
    places = {(item.line, item.names[0]) for item in missing(coupon_items(test), required_only=True)}
    return len(places | {(gap.line, gap.key) for gap in range_gaps(test)})


def test_the_same_coupon_under_another_code_brings_readings_and_results_along(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author, passes=[{"amps": "155"}])
    page = reverse("procedure_test_editions", args=[test.pk])
    assertContains(author_client.get(page), "Record this coupon under it as well")
    author_client.post(reverse("procedure_test_also", args=[test.pk]), {"edition": D12})
    made = ProcedureTest.objects.get(edition=D12)
    assert (made.number, made.state, made.moved_from) == ("PT-015", State.DRAFT, [test.edition])
    assert (made.joint, made.lines, made.results, made.passes) == (
        test.joint,
        test.lines,
        test.results,
        test.passes,
    )
    assert (made.welder, made.welded_on, made.report_number) == (welder(), date(2031, 3, 4), "HT-2231")
    test.refresh_from_db()
    assert (test.state, test.edition) == (State.APPROVED, "asme_ix_2023")


def test_an_edition_that_does_not_judge_such_a_record_starts_none(
    author_client: Client, reader_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author)
    url = reverse("procedure_test_also", args=[test.pk])
    for edition in (test.edition, "iso_9606_2_2004", ""):
        assert author_client.post(url, {"edition": edition}).status_code == 409
    assert reader_client.post(url, {"edition": D12}).status_code == 403
    assert ProcedureTest.objects.count() == 1


def test_a_welder_test_goes_under_another_code_as_well(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = welder_test(author, welder())
    author_client.post(reverse("welder_test_also", args=[test.pk]), {"edition": D12})
    made = WelderTest.objects.get(edition=D12)
    assert (made.welder, made.results) == (test.welder, test.results)


def test_the_page_says_that_the_coupon_counts_as_its_welders_test(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author)
    page = author_client.get(test.get_absolute_url())
    assertContains(page, "test as well, here of Anouk Berglund")
    assertContains(page, "Use this coupon as the welder's test</button>")
    author_client.post(reverse("procedure_test_as_welder_test", args=[test.pk]))
    page = author_client.get(test.get_absolute_url())
    assertContains(page, "This coupon stands as the test of Anouk Berglund")
    nobody = procedure_test(author, "PT-030", state=State.DRAFT)
    nobody.welder = None
    nobody.save()
    assertContains(author_client.get(nobody.get_absolute_url()), "Name the welder: a coupon that passes")
    procedures_only = procedure_test(author, "PT-031", state=State.WITHDRAWN)
    assertNotContains(author_client.get(procedures_only.get_absolute_url()), "A coupon that passes counts")


def test_how_many_entries_one_procedure_test_with_four_bends_takes(
    author: User, shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    """Counted are fields that hold something at the end, less those that hold it without being typed."""
    test = procedure_test(author)
    counts = {"from a blank page": typed_entries(test)}
    start = {"number": "PT-020", "edition": test.edition, "units": "us", "like": str(test.pk)}
    form = StartForm(ProcedureTest, start)
    assert form.is_valid()
    like = form.record()
    filled = _all_sound(like)
    readings = sum(key in OF_ONE_COUPON for entries in (test.joint, *test.lines) for key in entries)
    heads = sum(bool(getattr(test, name)) and not getattr(like, name) for name in HEAD)
    by_hand = sum(
        len(set(row) - set(there)) for row, there in zip_longest(test.results, filled, fillvalue={})
    )
    counts["like another coupon"] = readings + heads + by_hand
    for edition in (D12, NAVY):
        moved = same_coupon_under(test, edition)
        moved.number = "PT-021"
        counts[f"same coupon under {edition}"] = still_asked(moved)
    with capsys.disabled():
        print("\nentries to type for one procedure test with four bends:", counts)
    assert counts["from a blank page"] >= 59
    assert counts["like another coupon"] <= counts["from a blank page"] / 2
    assert all(count <= 15 for name, count in counts.items() if name.startswith("same coupon"))


def _all_sound(test: ProcedureTest) -> list[dict[str, str]]:
    """The rows of results, filled by the buttons for sound specimens."""
    rows = ResultsForms(test).entries
    for section in ResultsForms(test).sections:
        data = QueryDict(mutable=True)
        data.update(results_post(test, rows, rows=f"sound:{section.key}"))
        if section.sound:
            rows = ResultsForms(test, data).entries
    return [{key: text for key, text in row.items() if text} for row in rows]

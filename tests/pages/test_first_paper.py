"""The first paper: its three ways, the ready coupons, and a coupon that is its welder's test too."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.codes.editions import available_editions, edition_for_welders
from qualification.evidence.coverage import outcome_of, problems_under, range_of
from qualification.forms.coupon import OF_ONE_COUPON
from qualification.models import ProcedureTest, Shop, State, WelderTest
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import registry
from tests.shop_records import procedure_test, welder
from wps.models import Spec
from wps.procedures.starting_points import COUPON, PROCEDURE, StartingPoint, set_up, starting_points
from wps.procedures.starting_words import ready_coupon

pytestmark = pytest.mark.django_db
USES = {COUPON: RecordKind.TEST, PROCEDURE: RecordKind.SPEC}
EVERY = [each for kind in USES for each in starting_points(kind)]


@pytest.mark.parametrize("start", EVERY, ids=lambda each: f"{each.key} {each.edition}")
def test_a_starting_point_states_what_the_form_has_and_every_entry_can_be_read(start: StartingPoint) -> None:
    assert start.edition in dict(available_editions())
    for key in (*start.joint, *start.line):
        assert USES[start.kind] in registry()[key].uses, key
    record = ProcedureTest(number="PT-1", **set_up(start))
    if start.kind == COUPON:
        assert problems_under(record, start.edition) == []


@pytest.mark.parametrize("start", starting_points(COUPON), ids=lambda each: f"{each.key} {each.edition}")
def test_a_ready_coupon_holds_no_reading_and_no_result_and_says_what_is_to_be_tested(
    start: StartingPoint,
) -> None:
    """What was read or stamped on one coupon would be invented on another."""
    assert not OF_ONE_COUPON & {*start.joint, *start.line}
    record = ProcedureTest(number="PT-1", **set_up(start))
    assert record.results == []
    assert range_of(record).lines == ()
    outcome = outcome_of(record)
    assert outcome.requirements.open == ()
    assert outcome.requirements.requirements
    assert 0 < ready_coupon(start).to_type <= 40


def test_a_ready_coupon_becomes_a_draft_welded_by_the_one_welder(author_client: Client, shop: Shop) -> None:
    start = starting_points(COUPON)[0]
    only = welder()
    answer = author_client.post(reverse("coupon_from_start", args=[start.edition, start.key]), follow=True)
    made = ProcedureTest.objects.get()
    assertRedirects(answer, reverse("procedure_test_edit", args=[made.pk]))
    assertContains(answer, "a starting point")
    assert (made.welder, made.state, made.edition, made.units) == (only, State.DRAFT, start.edition, "us")
    assert "starting point" in made.notes
    welder("RS", "Ruud Stelling")
    author_client.post(reverse("coupon_from_start", args=[start.edition, start.key]))
    assert ProcedureTest.objects.get(number="PT-002").welder is None, "which of two is for the author to say"


def test_a_ready_procedure_becomes_a_prequalified_draft(author_client: Client, shop: Shop) -> None:
    start = starting_points(PROCEDURE)[0]
    author_client.post(reverse("procedure_from_start", args=[start.edition, start.key]))
    made = Spec.objects.get()
    assert (made.prequalified, made.state, list(made.tests.all())) == (True, State.DRAFT, [])


def test_what_is_not_listed_is_not_found_and_a_reader_starts_nothing(
    author_client: Client, reader_client: Client, shop: Shop
) -> None:
    assert author_client.post(reverse("coupon_from_start", args=["x", "y"])).status_code == 404
    start = starting_points(COUPON)[0]
    url = reverse("coupon_from_start", args=[start.edition, start.key])
    assert reader_client.post(url).status_code == 403
    assert author_client.get(url).status_code == 405
    assert not ProcedureTest.objects.exists()
    assertNotContains(reader_client.get(reverse("first_paper")), url)


def test_the_page_offers_three_ways_and_the_coupons_of_the_shops_codes(
    author_client: Client, shop: Shop
) -> None:
    shop.editions_used = ["aws_d1_2_2014"]
    shop.save()
    answer = author_client.get(reverse("first_paper"))
    for words in ("I have a paper record", "I am about to weld a coupon", "I only want to check a drawing"):
        assertContains(answer, words)
    assertContains(answer, "5083-H116 plate, GMAW spray, flat")
    assertNotContains(answer, "S355")
    # AWS D1.2 as the tables hold it: a 3/8 in coupon carries from half its thickness to twice it.
    assertContains(answer, "3/16 to 3/4 in")


def test_the_coupon_of_a_procedure_test_is_its_welders_test_too(author_client: Client, author: User) -> None:
    test = procedure_test(author)
    assertContains(author_client.get(test.get_absolute_url()), "Use this coupon as the welder's test")
    author_client.post(reverse("procedure_test_as_welder_test", args=[test.pk]))
    made = WelderTest.objects.get()
    assert (made.welder, made.welded_on, made.state) == (test.welder, test.welded_on, State.DRAFT)
    assert (made.edition, made.spec_followed) == (test.edition, test.spec_followed)
    kinds = {row["kind"] for row in test.results}
    # QW-452 asks no tension test of a welder; it stays on the procedure test.
    assert {row["kind"] for row in made.results} == kinds - {"tension"}
    assert range_of(made).lines


@pytest.mark.parametrize("changes", [{"results": []}, {"state": State.WITHDRAWN}])
def test_a_coupon_without_results_or_withdrawn_is_no_welders_test(
    changes: dict[str, object], author_client: Client, author: User
) -> None:
    test = procedure_test(author, **changes)
    assertNotContains(author_client.get(test.get_absolute_url()), "Use this coupon as the welder")
    answer = author_client.post(reverse("procedure_test_as_welder_test", args=[test.pk]), follow=True)
    assertContains(answer, "cannot be a welder")
    assert not WelderTest.objects.exists()


@pytest.mark.parametrize(
    ("procedure", "welders"),
    [
        ("aws_d1_2_2014", "aws_d1_2_2014"),
        ("iso_15614_1_2017_level2", "iso_9606_1_2012"),
        ("iso_15614_2_2005", "iso_9606_2_2004"),
        ("no_such_code", ""),
    ],
)
def test_the_code_that_judges_the_welder_of_a_procedure_coupon(procedure: str, welders: str) -> None:
    assert edition_for_welders(procedure) == welders


def test_ready_procedures_of_other_codes_are_folded_behind_the_own_ones(
    reader_client: Client, shop: Shop
) -> None:
    """A shop to ASME IX was shown five procedures of AWS D1.1 in front of everything it could use."""
    answer = reader_client.get(reverse("first_paper"))
    assert {each.edition for each in answer.context["procedures"]} <= {shop.code_edition}
    other = answer.context["other_procedures"]
    assert other
    assert shop.code_edition not in {each.edition for each in other}
    assertContains(answer, f"{len(other)} for other", count=1)

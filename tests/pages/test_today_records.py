"""What the home page says of records and welders."""

from datetime import date

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from pytest_django.asserts import assertContains, assertNotContains

from qualification.models import ProcessUse, Shop, State
from tests.shop_records import procedure_test, spec, welder, welder_test
from wps.today.attention import continuity_ending, own_drafts, supports_changed, waiting_for_review
from wps.today.matters import Matter


def matters(section: object) -> list[str]:
    return [matter.what for matter in section.matters]


def test_an_author_sees_the_own_drafts_only(author: User, administrator: User, reader: User) -> None:
    spec(author)
    procedure_test(author, state=State.DRAFT)
    spec(administrator, number="W-102")
    spec(author, number="W-103", state=State.WITHDRAWN)
    assert matters(own_drafts(author)) == ["Procedure W-101 rev 0", "Procedure test PT-014 rev 0"]
    assert own_drafts(reader) is None


def test_an_approver_sees_what_waits_but_not_the_own_unless_the_shop_allows_it(
    author: User, administrator: User, reader: User, shop: Shop
) -> None:
    spec(author, state=State.IN_REVIEW)
    spec(administrator, number="W-102", state=State.IN_REVIEW)
    assert matters(waiting_for_review(administrator)) == ["Procedure W-101 rev 0"]
    assert waiting_for_review(reader) is None
    shop.allow_self_approval = True
    shop.save()
    assert matters(waiting_for_review(administrator)) == ["Procedure W-101 rev 0", "Procedure W-102 rev 0"]


@pytest.mark.parametrize(
    ("today", "says"),
    [
        ("2031-08-04", []),
        ("2031-08-05", ["Holds until 2031-09-04"]),
        ("2031-09-04", ["Holds until 2031-09-04"]),
        ("2031-09-05", ["Lapsed, held until 2031-09-04"]),
    ],
)
def test_a_qualification_is_named_thirty_days_before_it_lapses(
    today: str, says: list[str], author: User
) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    with time_machine.travel(today, tick=False):
        section = continuity_ending(author)
    assert [matter.detail for matter in section.matters] == says
    assert matters(section) == ["Kees Dorrit (KD): GMAW, semiautomatic"] * len(says)


@time_machine.travel("2031-08-20", tick=False)
def test_a_recorded_use_quiets_it_and_so_does_leaving(author: User) -> None:
    who, gone = welder("KD", "Kees Dorrit"), welder("RM", "Rosa Maat")
    welder_test(author, who)
    welder_test(author, gone, "WT-022")
    ProcessUse(
        welder=who,
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2031, 8, 1),
        evidence="J-3107",
        recorded_by_name="M",
    ).save()
    type(gone).objects.filter(pk=gone.pk).update(active=False)
    assert matters(continuity_ending(author)) == []


def test_a_procedure_whose_test_was_withdrawn_is_named(author: User) -> None:
    test, other = procedure_test(author), procedure_test(author, "PT-015")
    approved = spec(author, test, other, state=State.APPROVED)
    spec(author, test, number="W-102")
    assert matters(supports_changed(author)) == []
    for gone, state in ((test, State.WITHDRAWN), (other, State.SUPERSEDED)):
        gone.state = state
        gone.save()
    assert supports_changed(author).matters == (
        Matter(
            "Procedure W-101 rev 0",
            approved.get_absolute_url(),
            "PT-014 rev 0 is withdrawn, PT-015 rev 0 is superseded",
        ),
    )


def test_the_page_shows_each_section_to_those_it_concerns(
    author_client: Client, reader_client: Client, author: User
) -> None:
    spec(author)
    assertContains(author_client.get("/"), "Procedure W-101 rev 0")
    answer = reader_client.get("/")
    assertNotContains(answer, "My drafts")
    assertContains(answer, "Every approved procedure rests on tests in force.")


def test_a_procedure_test_names_the_procedures_that_rest_on_it(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    made = spec(author, test)
    answer = reader_client.get(test.get_absolute_url())
    assertContains(answer, made.get_absolute_url())
    assertContains(answer, "Procedures that rest on it")

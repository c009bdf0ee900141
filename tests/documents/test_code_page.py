"""The page behind a code: what it answers to anybody of what the paper is about, on the day it is asked."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.utils import timezone

from qualification.models import ProcessUse, Record, WelderTest
from qualification.records import workflow
from tests import shop_records
from tests.documents.papers import approved_spec, approved_test, issued
from wps.documents.kinds import document_for
from wps.documents.standing import standing_of

pytestmark = pytest.mark.usefixtures("shop", "small_documents")

WELDED = date(2031, 3, 4)


def page_of(record: Record, client: Client) -> str:
    """What the page says between its head and its footer."""
    document = document_for(record) or issued(record)
    return client.get(f"/verify/{document.code}/").content.decode().split("<footer")[0]


def qualified(author: User, approver: User, **changes: object) -> WelderTest:
    made = shop_records.welder_test(author, shop_records.welder(), state="draft", welded_on=WELDED, **changes)
    shop_records.approve(made, author, approver)
    return made


# In ASME IX a qualification lapses when its process was not used for six months: QW-322.1(a).
@pytest.mark.parametrize(
    ("day", "key", "said"),
    [
        (date(2031, 9, 4), "current", "The qualification holds today."),
        (date(2031, 9, 5), "lapsed", "The qualification does not hold today."),
    ],
)
def test_a_welders_paper_answers_for_the_day(
    day: date, key: str, said: str, author: User, approver: User, client: Client
) -> None:
    with time_machine.travel(WELDED + timedelta(days=1)):
        made = qualified(author, approver)
        issued(made)
    with time_machine.travel(day):
        assert standing_of(document_for(made)).key == key
        page = page_of(made, client)
        assert said in page
        assert "GMAW, semiautomatic" in page
        assert "2031-09-04" in page
        for secret in ("Anouk", "Maren", "Tobias", "Gangway deck"):
            assert secret not in page


def test_a_use_carries_a_welders_paper_on(author: User, approver: User, client: Client) -> None:
    with time_machine.travel(WELDED + timedelta(days=1)):
        made = qualified(author, approver)
        issued(made)
        ProcessUse.objects.create(
            welder=made.welder, process="GMAW", operation="semiautomatic", used_on=WELDED, evidence="Weld G-1"
        )
    with time_machine.travel(date(2031, 8, 1)):
        ProcessUse.objects.create(
            welder=made.welder,
            process="GMAW",
            operation="semiautomatic",
            used_on=date(2031, 7, 31),
            evidence="Weld G-2",
        )
    with time_machine.travel(date(2031, 12, 1)):
        assert "Holds until 2032-01-31" in page_of(made, client)


def test_a_questioned_ability_does_not_hold(author: User, approver: User) -> None:
    with time_machine.travel(WELDED + timedelta(days=2)):
        made = qualified(author, approver)
        document = issued(made)
        made.questioned_on, made.questioned_because = timezone.localdate(), "Porosity in every bead."
        made.save()
        assert standing_of(document).key == "lapsed"


FAILED = [{**shop_records.RESULTS[0], "load": "1000 lbf"}, *shop_records.RESULTS[1:]]


def test_a_failed_procedure_test_says_so(author: User, approver: User, client: Client) -> None:
    passed = approved_test(author, approver)
    failed = approved_test(author, approver, "PT-015", results=FAILED)
    issued(failed)
    assert "This revision is current. The test passed." in page_of(passed, client)
    page = page_of(failed, client)
    assert "The test did not pass: it qualifies nothing." in page
    assert "verdict--covered" not in page
    assert standing_of(document_for(failed)).key == "failed"


def test_a_failed_welder_test_says_so(author: User, approver: User) -> None:
    results = [{**each, "openings": "1/4"} if each["kind"] == "root_bend" else each for each in FAILED[3:]]
    with time_machine.travel(WELDED + timedelta(days=1)):
        made = qualified(author, approver, results=results)
        assert standing_of(issued(made)).key == "failed"


def test_a_procedure_whose_test_was_withdrawn_says_so(author: User, approver: User, client: Client) -> None:
    test = approved_test(author, approver)
    made = approved_spec(author, approver, test)
    issued(made)
    assert "This revision is current." in page_of(made, client)
    workflow.apply("withdraw", test, approver, "The laboratory recalled its report.")
    page = page_of(made, client)
    assert "A test behind it is no longer in force." in page
    assert "PT-014 rev 0 is withdrawn." in page


def test_a_record_changed_in_the_database_says_so(author: User, approver: User, client: Client) -> None:
    made = approved_test(author, approver)
    issued(made)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE qualification_proceduretest SET results = '[]'")
    assert "no longer what was approved" in page_of(made, client)


def test_the_footer_names_nobody_to_a_stranger(
    author: User, approver: User, client: Client, author_client: Client
) -> None:
    made = approved_test(author, approver)
    address = f"/verify/{issued(made).code}/"
    assert "Tobias Quell" not in client.get(address).content.decode()
    assert "Tobias Quell" not in client.get("/sign-in/").content.decode()
    assert "Tobias Quell" in author_client.get(address).content.decode()


@pytest.mark.parametrize(
    "text", ["/" * 300, "AL-01/0", "4KD0R-7XW2", "4KD0R-7XW2M0", "²" * 10, "4KD0U-7XW2M"]
)
def test_what_cannot_be_a_code_is_kept_and_told(text: str, reader_client: Client) -> None:
    answer = reader_client.get("/verify/", {"code": text})
    assert answer.status_code == 422
    assert f'value="{text}"' in answer.content.decode()
    assert "ten letters and digits" in answer.content.decode()


@pytest.mark.parametrize("text", ["4KD0R-7XW2M", "4kdor 7xw2m", " 4KDOR7XW2M "])
def test_a_code_as_typed_leads_to_its_page(text: str, reader_client: Client) -> None:
    assert reader_client.get("/verify/", {"code": text}).headers["Location"] == "/verify/4KD0R7XW2M/"

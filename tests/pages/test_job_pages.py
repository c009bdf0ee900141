"""Jobs: list, head, and the matrix of welds against procedures and welders."""

from collections.abc import Iterator

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import Shop, State
from qualification.records.history import history_about
from tests.shop_records import EDITION, job, part, procedure_test, spec, welder, welder_test
from wps.models import Job

FILLED = {
    "number": "J-1",
    "title": "Handrail",
    "customer": "Port Ellery",
    "edition": EDITION,
    "notes": "",
    "open": "on",
}

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    """Four weeks after the coupons of `shop_records` were welded; before any fixture signs in."""
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def test_jobs_are_listed_open_ones_first_and_found_by_words(reader_client: Client) -> None:
    job("J-3", title="Ladder", open=False)
    part(job("J-1", title="Handrail"))
    job("J-2", title="Gate")
    answer = reader_client.get(reverse("job_list"))
    page = answer.content.decode()
    assert page.index("J-2") < page.index("J-1") < page.index("J-3")
    assertContains(answer, '<td data-label="Welds">1</td>', html=True)
    found = reader_client.get(reverse("job_list"), {"q": "ladder"})
    assertContains(found, "J-3")
    assertNotContains(found, "J-1")
    assertContains(reader_client.get(reverse("job_list"), {"q": "crane"}), "No job fits.")


def test_a_job_is_opened_and_changed_and_both_are_written_down(author_client: Client, shop: Shop) -> None:
    shop.code_edition = EDITION
    shop.save()
    job("J-009")
    assertContains(author_client.get(reverse("job_new")), 'value="J-010"')
    author_client.post(reverse("job_new"), FILLED)
    made = Job.objects.get(number="J-1")
    assert (made.title, made.customer, made.edition, made.open) == ("Handrail", "Port Ellery", EDITION, True)
    answer = author_client.post(
        reverse("job_edit", args=[made.pk]), {**FILLED, "title": "Handrail, west side", "open": ""}
    )
    assertRedirects(answer, made.get_absolute_url())
    made.refresh_from_db()
    assert (made.title, made.open) == ("Handrail, west side", False)
    assert [event.did for event in history_about("job", made.pk)] == ["changed it", "started it"]


def test_bad_entries_are_said_and_nothing_is_lost(author_client: Client) -> None:
    job("J-3107")
    bad = {**FILLED, "number": "j-3107", "title": "", "customer": "c" * 121, "edition": "none"}
    answer = author_client.post(reverse("job_new"), bad)
    assertContains(
        answer, "Job number j-3107 is taken by J-3107 Harbour gangway. Choose another.", status_code=422
    )
    assertContains(answer, "Enter what the job is.", status_code=422)
    assertContains(answer, "Customer is 121 characters long.", status_code=422)
    assertContains(answer, "Code edition has no tables named none here.", status_code=422)
    assert Job.objects.count() == 1


def test_the_matrix_says_for_each_weld_whether_its_procedure_and_which_welders_fit(
    reader_client: Client, author: User
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    welder_test(author, welder("KD", "Kees Dorrit"))
    made = job()
    part(made, "G-1", spec_number="W-101")
    part(made, "G-2", spec_number="W-101", joint={"thickness_a": "3/4"}, line={"deposit_thickness": "3/4"})
    part(made, "G-3")
    part(made, "G-4", spec_number="W-999")
    part(made, "G-5", line={"transfer_mode": "short_circuit"})
    answer = reader_client.get(made.get_absolute_url())
    rows = {row.part.mark: row for row in answer.context["rows"]}
    assert [(mark, row.may) for mark, row in rows.items()] == [
        ("G-1", 2),
        ("G-2", 0),
        ("G-3", 2),
        ("G-4", 2),
        ("G-5", 0),
    ]
    assertContains(answer, "Inside W-101. Covered by PT-014.")
    assertContains(answer, "Outside what W-101 claims: thickness of side A; thickness of side B")
    assertContains(answer, "No approved revision")
    assertContains(answer, "1 would cover it.")
    assertContains(answer, "None on file covers it.")
    assertContains(
        answer, f'<a href="{reverse("who_may_weld")}?part={rows["G-1"].part.pk}">2 of 2 may</a>', html=True
    )


def test_a_job_without_welds_says_so(reader_client: Client, author_client: Client) -> None:
    made = job()
    assertContains(reader_client.get(made.get_absolute_url()), "The job has no weld yet.")
    assertContains(author_client.get(made.get_absolute_url()), "Add the first one")


@pytest.mark.parametrize("name", ["job_new", "job_edit"])
@pytest.mark.parametrize("who", ["reader", "approver"])
def test_only_authors_change_jobs(name: str, who: str, request: pytest.FixtureRequest) -> None:
    made = job()
    client, args = request.getfixturevalue(f"{who}_client"), [made.pk] if name == "job_edit" else []
    assert client.get(reverse(name, args=args)).status_code == 403
    assert client.post(reverse(name, args=args), FILLED).status_code == 403
    assert Job.objects.count() == 1


@pytest.mark.parametrize("name", ["job_list", "job"])
def test_visitors_are_asked_to_sign_in(name: str, client: Client) -> None:
    url = reverse(name, args=[job().pk] if name == "job" else [])
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")

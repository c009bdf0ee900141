"""The welds of a job: page, editor, live check, choice of the procedure."""

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import AuditEntry, State
from qualification.records.history import history_about
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.jobs.part_desk import PartDesk
from wps.models import Part

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _in_april() -> Iterator[None]:
    """Four weeks after the coupons of `shop_records` were welded; before any fixture signs in."""
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


def page_of(made: Part, **changes: Any) -> dict[str, Any]:
    """What the editor sends for a stored weld."""
    data = {
        "mark": made.mark,
        "title": made.title,
        "units": made.units,
        "spec_number": made.spec_number,
        "version": PartDesk(made).version,
        "line_count": len(made.lines),
    }
    data |= {f"joint-{key}": entry for key, entry in made.joint.items()}
    for index, line in enumerate(made.lines):
        data |= {f"line-{index}-{key}": entry for key, entry in line.items()}
    return {**data, **changes}


def url(name: str, made: Part) -> str:
    return reverse(name, args=[made.job_id, made.pk])


def test_it_shows_the_drawing_the_procedures_and_the_welders(reader_client: Client, author: User) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    spec(
        author,
        procedure_test(author, "PT-015"),
        number="W-102",
        state=State.APPROVED,
        joint={"position": "flat"},
    )
    welder_test(author, welder("KD", "Kees Dorrit"))
    made = part(job(), spec_number="W-101")
    answer = reader_client.get(made.get_absolute_url())
    assertContains(answer, "1/4 in (6.35 mm)")
    assertContains(answer, "Inside W-101. Covered by PT-014.")
    assertContains(answer, "Outside what W-102 claims: position.")
    assertContains(answer, "Kees Dorrit")
    assertContains(answer, 'By <span class="mono">WT-021</span>, holds until 2031-09-04.')
    assert [fit.spec.number for fit in answer.context["view"].fits] == ["W-101", "W-102"]


def test_a_procedure_covers_no_more_than_its_tests_although_it_was_approved(
    reader_client: Client, author: User
) -> None:
    test = procedure_test(author)
    spec(author, test, state=State.APPROVED)
    test.state = State.WITHDRAWN
    test.save()
    answer = reader_client.get(part(job(), spec_number="W-101").get_absolute_url())
    assertContains(answer, "Not covered: process.")


def test_a_superseded_test_still_says_what_was_welded(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    spec(author, test, state=State.APPROVED)
    test.state = State.SUPERSEDED
    test.save()
    assertContains(
        reader_client.get(part(job(), spec_number="W-101").get_absolute_url()),
        "Inside W-101. Covered by PT-014.",
    )


@pytest.mark.parametrize("state", [State.DRAFT, State.IN_REVIEW, State.SUPERSEDED, State.WITHDRAWN])
def test_only_approved_procedures_come_into_question(state: str, reader_client: Client, author: User) -> None:
    spec(author, procedure_test(author), state=state)
    answer = reader_client.get(part(job(), spec_number="W-101").get_absolute_url())
    assertContains(answer, "W-101 has no approved revision; choose another procedure.")
    assertContains(answer, "No approved procedure under this edition is on file.")


def test_a_weld_that_leaves_its_thickness_out_is_unknown(reader_client: Client, author: User) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    answer = reader_client.get(
        part(job(), spec_number="W-101", joint={"thickness_a": "", "thickness_b": ""}).get_absolute_url()
    )
    assertContains(
        answer, "Unknown: thickness of side A; thickness of side B cannot be checked against W-101"
    )


def test_a_weld_is_added_with_the_next_mark(author_client: Client) -> None:
    made = part(job(), "G-12")
    new = reverse("part_new", args=[made.job_id])
    assertContains(author_client.get(new), 'value="G-13"')
    answer = author_client.post(
        new,
        page_of(
            made, mark="G-13", version="", do="close", **{"line-0-transfer_mode": ["spray", "pulsed_spray"]}
        ),
    )
    added = Part.objects.get(mark="G-13")
    assertRedirects(answer, added.get_absolute_url())
    assert (added.joint, added.lines) == (
        made.joint,
        [{**made.lines[0], "transfer_mode": ["spray", "pulsed_spray"]}],
    )
    assert [event.did for event in history_about("part", added.pk)] == ["started it"]


def test_save_stays_and_save_and_read_leaves(author_client: Client) -> None:
    made = part(job())
    assertRedirects(
        author_client.post(url("part_edit", made), page_of(made, do="save")), url("part_edit", made)
    )
    assertRedirects(
        author_client.post(url("part_edit", made), page_of(made, do="close")), made.get_absolute_url()
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"mark": " "}, "Enter the weld mark."),
        ({"mark": "g-1"}, "Weld mark g-1 is taken in this job. Choose another."),
        ({"title": ""}, "Enter what is joined."),
        ({"units": "cubits"}, "Units has no “cubits”."),
        ({"spec_number": "W-999"}, "Chosen WPS names W-999, which has no approved revision."),
    ],
)
def test_an_unreadable_head_keeps_the_weld_back_and_loses_nothing(
    changes: dict, said: str, author_client: Client
) -> None:
    owner = job()
    part(owner, "G-1")
    made = part(owner, "G-2")
    answer = author_client.post(
        url("part_edit", made), page_of(made, **{"joint-thickness_a": "7/16"}, **changes)
    )
    assertContains(answer, said, status_code=422)
    assertContains(answer, 'value="7/16"', status_code=422)
    made.refresh_from_db()
    assert made.joint["thickness_a"] == "1/4"


def test_the_same_mark_may_stand_in_another_job(author_client: Client) -> None:
    made, other = part(job("J-1"), "G-1"), job("J-2")
    author_client.post(reverse("part_new", args=[other.pk]), page_of(made, version=""))
    assert other.parts.get().mark == "G-1"


def test_entries_that_cannot_be_read_are_kept_and_said(author_client: Client) -> None:
    made = part(job())
    answer = author_client.post(
        url("part_edit", made), page_of(made, do="save", **{"joint-thickness_a": "thick"}), follow=True
    )
    assertContains(answer, "“thick” could not be read")
    made.refresh_from_db()
    assert made.joint["thickness_a"] == "thick"


def test_what_someone_saved_meanwhile_is_not_overwritten(author_client: Client, author: User) -> None:
    made = part(job())
    mine = page_of(made, **{"joint-thickness_a": "3/8"})
    author_client.post(url("part_edit", made), page_of(made, **{"joint-thickness_a": "5/16"}))
    answer = author_client.post(url("part_edit", made), mine)
    assertContains(answer, "Maren Oosting saved this weld at", status_code=409)
    assertContains(answer, "5/16 in (7.94 mm)", status_code=409)
    assertContains(answer, "3/8 in (9.53 mm)", status_code=409)
    made.refresh_from_db()
    assert made.joint["thickness_a"] == "5/16"
    author_client.post(url("part_edit", made), {**mine, "version": answer.context["desk"].version})
    made.refresh_from_db()
    assert made.joint["thickness_a"] == "3/8"


def test_a_process_is_added_without_saving(author_client: Client) -> None:
    made = part(job())
    answer = author_client.post(url("part_edit", made), page_of(made, lines="add:GTAW", mark=""))
    assertContains(answer, "Process 2: GTAW, tungsten arc")
    made.refresh_from_db()
    assert len(made.lines) == 1


def test_the_live_check_holds_what_is_typed_against_the_chosen_procedure(
    author_client: Client, author: User
) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    made = part(job())
    answer = author_client.post(
        url("part_check", made), page_of(made, spec_number="W-101", **{"joint-thickness_a": "5/8"})
    )
    assertContains(answer, "Outside what W-101 claims: thickness of side A; thickness of side B")
    assertContains(answer, 'hx-swap-oob="innerHTML:#verdict"')
    made.refresh_from_db()
    assert (made.joint["thickness_a"], made.spec_number) == ("1/4", "")
    new = author_client.post(reverse("part_new_check", args=[made.job_id]), page_of(made))
    assertContains(new, "No WPS is chosen.")


def test_a_procedure_is_chosen_and_that_is_written_down(author_client: Client, author: User) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    made = part(job())
    answer = author_client.post(url("part_choose", made), {"spec_number": "W-101"}, follow=True)
    assertContains(answer, "J-3107 / G-12 is welded by W-101.")
    # The verdict stands above what was just done, so that nothing green comes before a red one.
    html = answer.content.decode()
    assert html.index('<p class="answer">') < html.index("J-3107 / G-12 is welded by W-101.")
    made.refresh_from_db()
    assert made.spec_number == "W-101"
    assert AuditEntry.objects.order_by("-id").first().data["detail"] == "chosen WPS: none to W-101"
    assertContains(
        author_client.post(url("part_choose", made), {"spec_number": "W-999"}, follow=True),
        "W-999 has no approved revision.",
    )
    author_client.post(url("part_choose", made), {"spec_number": ""})
    made.refresh_from_db()
    assert made.spec_number == ""


def test_a_weld_taken_off_stays_in_the_history(author_client: Client) -> None:
    made = part(job())
    assertRedirects(author_client.post(url("part_remove", made)), made.job.get_absolute_url())
    assert not Part.objects.exists()
    entry = AuditEntry.objects.order_by("-id").first()
    assert (entry.verb, entry.record_name, entry.data["joint"]) == ("remove", "J-3107 / G-12", made.joint)


def test_a_weld_is_found_under_its_own_job_only(reader_client: Client) -> None:
    made, other = part(job("J-1")), job("J-2")
    assert reader_client.get(reverse("part", args=[other.pk, made.pk])).status_code == 404


@pytest.mark.parametrize("name", ["part_edit", "part_check", "part_choose", "part_remove"])
@pytest.mark.parametrize("who", ["reader", "approver"])
def test_only_authors_change_welds(name: str, who: str, request: pytest.FixtureRequest) -> None:
    made = part(job())
    assert (
        request.getfixturevalue(f"{who}_client").post(url(name, made), page_of(made, title="x")).status_code
        == 403
    )
    made.refresh_from_db()
    assert made.title == "Deck plate to stringer"


@pytest.mark.parametrize("name", ["part_check", "part_choose", "part_remove"])
def test_changes_are_made_by_post_only(name: str, author_client: Client) -> None:
    assert author_client.get(url(name, part(job()))).status_code == 405


def test_a_reader_sees_no_buttons_that_change(reader_client: Client, author: User) -> None:
    spec(author, procedure_test(author), state=State.APPROVED)
    answer = reader_client.get(part(job()).get_absolute_url())
    assertNotContains(answer, "Edit the weld")
    assertNotContains(answer, "off the job")
    assertNotContains(answer, "Choose<span")


def test_the_joint_is_drawn_in_the_language_of_each_reader(reader_client: Client) -> None:
    """What one reader had looked at was kept, and shown in their language to the next."""
    made = part(job())
    said = []
    for language in ("fr", "de"):
        reader_client.post(reverse("look"), {"look": "", "language": language})
        said.append(reader_client.get(made.get_absolute_url()).content.decode())
    assert "Croquis du joint" in said[0]
    assert "Croquis du joint" not in said[1]

"""Records under another edition: seen before anything is saved, moved visibly, and one coupon under several
codes."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.evidence.coverage import compare_under
from qualification.models import AuditEntry, ProcedureTest, Shop, State, WelderTest
from qualification.records.audit_check import first_break
from qualification.rules.editions.compare import Likeness
from tests.shop_records import EDITION, procedure_test, spec, welder, welder_test
from wps.corrections.rejudging import under_edition
from wps.models import Spec
from wps.procedures.approval import obstacles_to_spec

pytestmark = pytest.mark.django_db
D12, ISO = "aws_d1_2_2014", "iso_15614_2_2005"


def test_a_procedure_shows_what_another_edition_changes_and_saves_nothing(
    author_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    page = author_client.get(reverse("procedure_edition", args=[made.pk]))
    assertContains(page, "AWS D1.2")
    assertNotContains(page, "Judge it under")
    page = author_client.get(reverse("procedure_edition", args=[made.pk]), {"edition": D12})
    change = under_edition(made, D12)
    assert change.before == "Covered by PT-014."
    assert change.after != change.before
    assert change.differences
    assertContains(page, change.after)
    assertContains(page, "has to be judged under AWS D1.2")
    assert change.once_counting
    assert "no such limit" not in {
        each.after for each in change.differences if each.what == "Thickness of the thinner side, process 1"
    }
    assert (Spec.objects.count(), ProcedureTest.objects.get().edition) == (1, EDITION)


def test_moving_an_approved_procedure_starts_a_revision_under_the_other_edition(
    author_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    answer = author_client.post(
        reverse("procedure_move", args=[made.pk]), {"edition": D12, "change_note": "Judged under D1.2."}
    )
    new = Spec.objects.get(revision=1)
    assertRedirects(answer, reverse("procedure_edit", args=[new.pk]))
    assert (new.edition, new.state, new.change_note) == (D12, State.DRAFT, "Judged under D1.2.")
    made.refresh_from_db()
    assert (made.edition, made.state) == (EDITION, State.APPROVED)
    entry = AuditEntry.objects.last()
    assert (entry.verb, entry.data["edition_from"], entry.data["edition"]) == ("revise", EDITION, D12)
    assert any("was recorded under another edition" in reason for reason in obstacles_to_spec(new))
    assert first_break() is None


def test_a_draft_is_moved_itself(author_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author))
    author_client.post(
        reverse("procedure_move", args=[made.pk]),
        {"edition": D12, "change_note": "The customer asks for D1.2."},
    )
    made.refresh_from_db()
    assert (made.edition, made.revision, Spec.objects.count()) == (D12, 0, 1)
    page = author_client.get(made.get_absolute_url())
    assertContains(page, "put it under another edition")
    assertContains(page, "The customer asks for D1.2.")


@pytest.mark.parametrize("edition", ["", "no_such", EDITION])
def test_an_edition_that_is_none_or_its_own_moves_nothing(
    edition: str, author_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    author_client.post(reverse("procedure_move", args=[made.pk]), {"edition": edition, "change_note": "x"})
    answer = author_client.post(
        reverse("procedure_test_move", args=[made.tests.get().pk]), {"edition": edition, "change_note": "x"}
    )
    assertContains(answer, "Choose one of the other editions listed.", status_code=409)
    assert (Spec.objects.count(), ProcedureTest.objects.count()) == (1, 1)


def test_a_move_without_a_note_or_from_an_old_revision_is_refused(
    author_client: Client, author: User
) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    url = reverse("procedure_move", args=[made.pk])
    assertContains(
        author_client.post(url, {"edition": D12, "change_note": " "}), "Say in one sentence", status_code=409
    )
    author_client.post(url, {"edition": D12, "change_note": "First."})
    assertContains(
        author_client.post(url, {"edition": D12, "change_note": "Again."}),
        "has a later revision",
        status_code=409,
    )
    assert Spec.objects.count() == 2


def test_a_reader_sees_and_does_not_move(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), state=State.APPROVED)
    test = made.tests.get()
    for url in (
        reverse("procedure_edition", args=[made.pk]) + f"?edition={D12}",
        reverse("procedure_test_editions", args=[test.pk]),
    ):
        page = reader_client.get(url)
        assert page.status_code == 200
        assertNotContains(page, "from now on")
    assert (
        reader_client.post(
            reverse("procedure_move", args=[made.pk]), {"edition": D12, "change_note": "x"}
        ).status_code
        == 403
    )
    assert (
        reader_client.post(
            reverse("procedure_test_move", args=[test.pk]), {"edition": D12, "change_note": "x"}
        ).status_code
        == 403
    )


def test_one_coupon_stands_side_by_side_under_the_editions_the_shop_uses(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author)
    shop.editions_used = [EDITION, D12, ISO]
    shop.save()
    page = author_client.get(reverse("procedure_test_editions", args=[test.pk]))
    assert [column.key for column in page.context["columns"]] == [EDITION, D12, ISO]
    own, d12, iso = page.context["columns"]
    assert own.counts
    assert not d12.counts
    assert not iso.counts
    assert any(kind == "Specimen or examination" and "macro" in sentence for kind, sentence in iso.wants)
    assertContains(page, "Counts as it stands")
    assertContains(page, "Different")
    assert page.context["names"] == [column.name for column in page.context["columns"]]
    pair = author_client.get(reverse("procedure_test_editions", args=[test.pk]), {"beside": ISO})
    assert pair.context["names"] == ["ASME BPVC Section IX, 2023", "ISO 15614-2, 2005"]
    comparison = compare_under(test, [EDITION, D12, ISO])
    differing = {row.label for row in comparison.rows if row.likeness is not Likeness.SAME}
    assert differing
    for label in differing:
        assertContains(page, label)
    test.refresh_from_db()
    assert test.edition == EDITION


def test_differences_stand_first_and_what_agrees_is_folded_away(
    author_client: Client, author: User, shop: Shop
) -> None:
    shop.editions_used = [EDITION, D12, ISO, "us_navy_248_rev_1"]
    shop.save()
    test = procedure_test(author)
    page = author_client.get(
        reverse("procedure_test_editions", args=[test.pk]), {"beside": [D12, ISO, "us_navy_248_rev_1"]}
    )
    assert len(page.context["names"]) == 4
    text = page.content.decode()
    places = [
        text.index(words)
        for words in (
            "Accepted? What is missing",
            "<caption>Different</caption>",
            "Limited under some editions only</h4>",
            "on which they agree for a weld like the coupon</summary>",
        )
    ]
    assert places == sorted(places)
    (table,) = page.context["tables"]
    assert {row.contrast for row in table.differing} == {"Different", "In other terms"}
    assert all(row.free and row.limiting for row in table.some)
    assert {row.contrast for row in table.alike} <= {"The same", "The same for such a weld"}
    counted = dict(page.context["counted"])
    assert (counted["differ"], counted["are limited under some editions only"]) == (
        len(table.differing),
        len(table.some),
    )
    wanting = [len(column.wants) for column in page.context["columns"][1:]]
    assert wanting == sorted(wanting), "the next code is the one for which least is wanting"
    long = next(column for column in page.context["columns"] if column.is_long)
    assertContains(page, f"<summary>Missing: {long.summary}</summary>")
    assert sum(int(part.rsplit("(", 1)[1][:-1]) for part in long.summary.split(", ")) == len(long.wants)


def test_what_is_wanting_is_what_makes_it_count(author: User) -> None:
    """Worked by us: the results that ISO 15614-2 asks beyond Section IX are named, and named no longer once
    they are there."""
    test = procedure_test(author)
    before = [want.sentence for want in compare_under(test, [ISO]).under[0].wants]
    assert any("penetrant" in sentence for sentence in before)
    more = [{"kind": "penetrant", "specimen": "P1", "accepted": "yes", "report": "R-1"}]
    added = procedure_test(author, "PT-015", results=[*test.results, *more])
    after = [want.sentence for want in compare_under(added, [ISO]).under[0].wants]
    assert not any(sentence.startswith("Make 1 penetrant") for sentence in after)


def test_a_test_is_moved_as_a_new_revision_and_prints_its_own_edition(
    author_client: Client, author: User
) -> None:
    test = procedure_test(author)
    answer = author_client.post(
        reverse("procedure_test_move", args=[test.pk]), {"edition": D12, "change_note": "Judged under D1.2."}
    )
    new = ProcedureTest.objects.get(revision=1)
    assertRedirects(answer, reverse("procedure_test_results", args=[new.pk]))
    assert (new.edition, new.state, new.results) == (D12, State.DRAFT, test.results)
    assertContains(author_client.get(new.get_absolute_url()), "AWS D1.2")
    assertContains(author_client.get(test.get_absolute_url()), "ASME BPVC Section IX, 2023")


def test_a_welder_test_is_compared_and_moved_alike(author_client: Client, author: User, shop: Shop) -> None:
    test = welder_test(author, welder())
    page = author_client.get(reverse("welder_test_editions", args=[test.pk]))
    assert EDITION in {column.key for column in page.context["columns"]}
    assert any("has no rules for a welder test" in sentence for sentence in page.context["left_out"])
    assert len(page.context["columns"]) > 1
    author_client.post(
        reverse("welder_test_move", args=[test.pk]), {"edition": D12, "change_note": "Judged under D1.2."}
    )
    assert WelderTest.objects.get(revision=1).edition == D12


def test_an_entry_no_edition_can_read_keeps_the_coupon_from_counting(
    author_client: Client, author: User, shop: Shop
) -> None:
    test = procedure_test(author, state=State.DRAFT, joint={"thickness_a": "thick"})
    page = author_client.get(reverse("procedure_test_editions", args=[test.pk]))
    assert not any(column.counts for column in page.context["columns"])
    assertContains(page, "Entry that needs a look")


def test_the_shop_says_which_editions_it_works_to(approver_client: Client, shop: Shop) -> None:
    form = approver_client.get(reverse("shop")).context["form"]
    data = {
        name: form[name].value() or ""
        for name in form.fields
        if name not in ("logo", "editions_used", "allow_self_approval")
    }
    assertRedirects(
        approver_client.post(reverse("shop"), {**data, "editions_used": [EDITION, D12]}), reverse("shop")
    )
    assert Shop.current().editions_used == [EDITION, D12]
    answer = approver_client.post(reverse("shop"), {**data, "editions_used": ["d1_9"]})
    assertContains(answer, "Code editions the shop works to has no “d1_9”.")


def test_ranges_of_an_edition_that_was_replaced_say_so(author_client: Client, author: User) -> None:
    coupon = procedure_test(author, edition=ISO)
    for page in (coupon.get_absolute_url(), spec(author, coupon, edition=ISO).get_absolute_url()):
        assertContains(
            author_client.get(page),
            "There is a later edition, ISO 15614-2, 2025. These ranges are not of it.",
        )
    other = procedure_test(author, number="PT-015", edition="us_navy_248_rev_1")
    assertNotContains(author_client.get(other.get_absolute_url()), "There is a later edition")

"""A test asks for what decides its range before it is approved: on its form and on its page."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.codes.editions import editions_with
from qualification.codes.editions_in_force import edition_in_force
from qualification.evidence.coverage import USES, range_of
from qualification.evidence.range_gaps import range_gaps
from qualification.forms.range_gaps import gap_rows
from qualification.forms.record_forms import RecordForms
from qualification.models import ProcedureTest, Shop, State, Welder, WelderTest
from tests.pages.posts import edit_post
from tests.shop_records import procedure_test

HEAD = "Not qualified, because not stated"
BARE_JOINT = {
    "weld_type": "groove",
    "base_metal_a": "6061-T6",
    "base_metal_b": "6061",
    "thickness_a": "3/8",
    "thickness_b": "same",
    "product_form": "plate",
    "test_position": "3G",
}
BARE_LINE = {
    "process": "GMAW",
    "amps": "180-200",
    "volts": "22-24",
    "progression": "up",
    "shielding_gas": "100Ar",
}


def test_a_form_asks_first_for_what_decides_the_range_and_the_answer_settles_it(
    author_client: Client, author: User, shop: Shop
) -> None:
    made = procedure_test(author, state=State.DRAFT, line={"transfer_mode": "", "filler_classification": ""})
    page = author_client.get(reverse("procedure_test_edit", args=[made.pk]))
    assertContains(page, "Decides the range, not stated: 2")
    assertContains(page, '<a href="#id_line-0-transfer_mode">Transfer mode</a>', html=True)
    assertContains(page, "2 entries that decide the range")
    check = reverse("procedure_test_check", args=[made.pk])
    typed = edit_post(made, line={"transfer_mode": "spray", "filler_classification": "ER5356"})
    assertNotContains(author_client.post(check, typed), "Decides the range")


def test_what_decides_the_range_is_never_folded_away(author_client: Client, author: User, shop: Shop) -> None:
    """The F-Number is folded on most records; a filler no table knows brings it into sight."""
    made = procedure_test(author, state=State.DRAFT, line={"filler_classification": "Own brand 7"})
    assert ("f_number", 0) in [(gap.key, gap.line) for gap in range_gaps(made)]
    page = author_client.get(reverse("procedure_test_edit", args=[made.pk])).content.decode()
    before = page[: page.index('id="id_line-0-f_number"')]
    assert before.rindex("<details") == before.rindex('<details class="folded" open')


def test_the_page_lists_what_is_not_qualified_with_a_field_each_while_it_can_be_stated(
    author_client: Client, author: User, shop: Shop
) -> None:
    made = procedure_test(author, state=State.DRAFT, line={"transfer_mode": ""})
    answer = author_client.get(made.get_absolute_url())
    edit = reverse("procedure_test_edit", args=[made.pk])
    assertContains(answer, HEAD)
    assertContains(answer, f'<a href="{edit}#id_line-0-transfer_mode">Transfer mode</a>', html=True)
    approved = procedure_test(author, "PT-012", line={"transfer_mode": ""})
    answer = author_client.get(approved.get_absolute_url())
    assertContains(answer, HEAD)
    assertContains(answer, "A new revision states it; what was tested stays.")
    assertNotContains(answer, "#id_line-0-transfer_mode")


def test_a_whole_record_asks_for_nothing(author_client: Client, author: User, shop: Shop) -> None:
    assertNotContains(author_client.get(procedure_test(author).get_absolute_url()), HEAD)


def test_a_failed_coupon_is_asked_as_well(author: User, shop: Shop) -> None:
    made = procedure_test(author, state=State.DRAFT, line={"transfer_mode": ""}, results=[])
    assert range_of(made).refusals
    assert [gap.key for gap in range_gaps(made)] == ["transfer_mode"]


@pytest.mark.parametrize(("model", "stem"), [(ProcedureTest, "procedure"), (WelderTest, "welder")])
def test_under_every_edition_each_gap_has_a_field_of_the_form(
    model: type[ProcedureTest | WelderTest], stem: str, shop: Shop
) -> None:
    for edition, _ in editions_with(stem):
        made = model(
            number="PT-099", edition=edition, units="us", joint=BARE_JOINT, lines=[BARE_LINE], results=[]
        )
        if isinstance(made, WelderTest):
            made.welder = Welder(name="Anouk Berglund")
        forms = RecordForms(USES[model], "us", edition, made.joint, made.lines)
        rows = gap_rows(range_gaps(made), forms)
        # A content list has no rule that a blank could keep from being used.
        assert bool(rows) != bool(edition_in_force(edition).records), edition
        assert [row.label for row in rows if not row.url] == [], edition
        assert not {"Test position", "Thickness of side A"} & {row.label for row in rows}  # they are stated


def test_a_temper_of_side_b_and_means_beside_typed_ranges_are_asked(shop: Shop) -> None:
    made = ProcedureTest(
        number="PT-099", edition="aws_d1_2_2014", units="us", joint=BARE_JOINT, lines=[BARE_LINE], results=[]
    )
    asked = {gap.key for gap in range_gaps(made)}
    assert {"temper_b", "amps_mean", "volts_mean", "filler_classification", "current_programme"} <= asked
    made.joint, made.lines = {**BARE_JOINT, "base_metal_b": "same"}, [{**BARE_LINE, "amps_mean": "190"}]
    assert not {"temper_b", "amps_mean"} & {gap.key for gap in range_gaps(made)}

"""What papers state follows the evidence: prequalified, failed, cautions of the metal, and the use a standing
rests on."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import time_machine
from django.contrib.auth.models import User

from qualification.models import ProcessUse, Record, Welder
from tests import shop_records
from tests.documents.packet_records import packet_for
from tests.documents.papers import approved_spec, approved_test
from tests.folded_pages import folded
from tests.pages.test_prequalified import fillet
from tests.shop_records import procedure_test, welder_test
from wps.documents.cautions import WHO_DECIDES, cautions_of
from wps.documents.context import content_of, document_context
from wps.documents.issue import words_of
from wps.documents.render import render_html
from wps.packets import front
from wps.packets.contents import contents_of, welder_entry
from wps.packets.obstacles import obstacles_to

pytestmark = pytest.mark.usefixtures("shop")


def paper(record: Record) -> str:
    """The document's text before it is set."""
    template, words = words_of(record)
    return render_html(template, {**document_context(content_of(record)), **words}, "letter")


def head(html: str) -> str:
    return folded(html).split('class="title-block')[1].split("</section>")[0]


def test_a_prequalified_procedure_says_so_and_names_no_test(author: User) -> None:
    made = fillet(author)
    made.tests.add(procedure_test(author))
    html = paper(made)
    assert "Prequalified, no test" in head(html)
    assert "rests on no test" in " ".join(html.split())
    assert "supporting procedure tests" not in html.lower()
    assert "PT-014" not in html


def test_a_procedure_on_tests_names_them(author: User, approver: User) -> None:
    html = paper(approved_spec(author, approver, approved_test(author, approver)))
    assert "PT-014 rev 0" in head(html)
    assert "on the evidence of the supporting procedure tests named" in " ".join(html.split())
    assert "rests on no test" not in " ".join(html.split())


def test_a_packet_takes_a_prequalified_procedure_as_whole(author: User) -> None:
    made = fillet(author)
    made.tests.add(procedure_test(author))
    packet = packet_for(author, procedures=[made.pk])
    contents = contents_of(packet, date(2031, 6, 1))
    assert contents.procedure_tests == ()
    assert not [each for each in obstacles_to(packet, contents) if "no supporting test" in each]
    bare = shop_records.spec(author, number="W-102", state="approved")
    packet.choice = {"procedures": [bare.pk]}
    assert "Procedure W-102 rev 0 names no supporting test." in obstacles_to(
        packet, contents_of(packet, date(2031, 6, 1))
    )


FAILED = [{**shop_records.RESULTS[0], "load": "1000 lbf"}, *shop_records.RESULTS[1:]]


def test_a_failed_test_says_in_its_head_that_it_does_not_qualify(author: User) -> None:
    assert "Does not qualify: failed" in head(paper(procedure_test(author, results=FAILED)))
    assert "Qualifies: passed" in head(paper(procedure_test(author, "PT-015")))
    waiting = head(paper(procedure_test(author, "PT-016", state="draft", results=[])))
    assert "Does not qualify" in waiting


# The metal, the process and the gas bring a caution up; words in it that belong to it alone.
OF_ALUMINUM, OF_STAINLESS, OF_GAS, OF_SLAG = "aluminum", "hexavalent", "displaces air", "goggles"


def said(joint: dict[str, str], line: dict[str, str], edition: str = "asme_ix_2023") -> str:
    content = {"kind": "procedure", "edition": edition, "joint": joint, "lines": [line], "units": "us"}
    found = cautions_of(content)
    assert found[0] == WHO_DECIDES
    return " ".join(found).lower()


@pytest.mark.parametrize(
    ("metal", "process", "gas", "wanted"),
    [
        ("6061", "GMAW", "100Ar", {OF_ALUMINUM, OF_GAS}),
        ("A36", "GMAW", "75Ar/25CO2", {OF_GAS}),
        ("A36", "SMAW", "", {OF_SLAG}),
        ("304L", "SMAW", "", {OF_STAINLESS, OF_SLAG}),
        ("304L", "GTAW", "100Ar", {OF_STAINLESS, OF_GAS}),
        ("", "", "", set()),
    ],
)
def test_cautions_are_of_the_metal_and_process_on_the_paper(
    metal: str, process: str, gas: str, wanted: set[str]
) -> None:
    text = said(
        {"base_metal_a": metal, "base_metal_b": "same"} if metal else {},
        {key: value for key, value in {"process": process, "shielding_gas": gas}.items() if value},
    )
    assert {each for each in (OF_ALUMINUM, OF_STAINLESS, OF_GAS, OF_SLAG) if each in text} == wanted
    assert "fire watch" in text


def row(welder: Welder, day: date) -> Any:
    entry = welder_entry(welder, {"GMAW"}, day)
    (found,) = front._welder(entry)["rows"]
    return found


def use(welder: Welder, day: date, operation: str) -> None:
    ProcessUse.objects.create(
        welder=welder, process="GMAW", operation=operation, used_on=day, evidence=f"Weld of {day}"
    )


def test_a_standing_names_the_use_or_coupon_it_counts_from(author: User) -> None:
    """Six months from what is named is what it holds until: QW-322.1(a) of ASME IX."""
    with time_machine.travel(date(2031, 12, 1)):
        welder = shop_records.welder()
        welder_test(author, welder, welded_on=date(2031, 3, 4))
        found = row(welder, date(2031, 3, 20))
        assert (found["kept_by"], found["standing"]) == (
            "Coupon WT-021 rev 0, 2031-03-04",
            "Holds until 2031-09-04",
        )
        use(welder, date(2031, 5, 16), "semiautomatic")
        found = row(welder, date(2031, 6, 1))
        assert (found["kept_by"], found["standing"]) == ("Used 2031-05-16", "Holds until 2031-11-16")
        later = welder_test(author, welder, "WT-022", welded_on=date(2031, 6, 20))
        found = welder_entry(welder, {"GMAW"}, date(2031, 7, 1)).rows
        assert {each.kept_by for each in found} == {f"Coupon {later.reference}, 2031-06-20"}
        assert {each.standing.words for each in found} == {"Holds until 2031-12-20"}


def test_a_use_after_a_lapse_is_not_what_a_standing_counts_from(author: User) -> None:
    with time_machine.travel(date(2031, 12, 1)):
        welder = shop_records.welder()
        welder_test(author, welder, welded_on=date(2031, 3, 4))
        use(welder, date(2031, 10, 1), "semiautomatic")
        found = row(welder, date(2031, 11, 1))
        assert found["standing"] == "Lapsed, held until 2031-09-04"
        assert found["kept_by"] == "Coupon WT-021 rev 0, 2031-03-04"

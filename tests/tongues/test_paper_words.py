"""Each kind of paper in French and in German has no English words but those that stay: what people typed,
names of standards and documents, designations."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User
from lxml import html

from qualification.models import Shop, State
from qualification.tongues.languages import speaking
from tests.documents.packet_records import packet_for
from tests.shop_records import procedure_test, spec, welder, welder_test
from tests.tongues.french_marks import close_marks
from tests.tongues.texts import english_words
from tests.trial_records import trial, weld_pass
from wps.corrections import work_sheet_paper
from wps.corrections.work_sheet import Part, work_sheet
from wps.documents import appendix, issue, shop_sheet, trial_report, validity_sheet
from wps.documents.context import content_of
from wps.documents.render import LaidOut, Rendered, render_html
from wps.packets import front
from wps.packets.contents import contents_of

pytestmark = pytest.mark.usefixtures("shop")
FROM_TABLES = 260
"""English sentences of the tables of the codes that an appendix prints at most; it may only fall."""
Printed = list[str]


class Unwritten:
    """In place of a paper on its pages."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pdf

    def write_pdf(self, **_: Any) -> bytes:
        return self.pdf


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> Printed:
    """The HTML of each paper that is printed, in place of its PDF."""
    made: Printed = []

    def render(
        template: str, context: Mapping[str, Any], content: Any, paper: str, *_: Any, **__: Any
    ) -> Rendered:
        made.append(render_html(template, context, paper))
        return Rendered(b"", 1, {})

    def lay_out(template: str, context: Mapping[str, Any], paper: str, *_: Any) -> LaidOut:
        return LaidOut(Unwritten(render(template, context, None, paper).pdf), 1, {}, {})

    for module in (issue, shop_sheet):
        monkeypatch.setattr(module, "lay_out", lay_out)
    for module in (appendix, trial_report, validity_sheet, front, work_sheet_paper):
        monkeypatch.setattr(module, "render", render)
    return made


def english_in(paper: str, typed: set[str]) -> set[str]:
    """Texts of the paper with an English word, apart from what somebody typed."""
    page = html.fromstring(re.sub(r"^<!DOCTYPE html>", "", paper))
    texts = {
        " ".join(str(each).split()) for each in page.xpath("//body//text()[not(ancestor::*[@lang='en'])]")
    }
    return {text for text in texts if english_words(text) and not any(each in text for each in typed)}


def typed_in(*records: Any) -> Iterator[str]:
    """What people typed on the records."""
    for record in records:
        for name in ("title", "notes", "joint_note", "change_note", "coupon_note"):
            yield getattr(record, name, "")
        entries = [
            getattr(record, "joint", {}),
            *getattr(record, "lines", []),
            *getattr(record, "results", []),
        ]
        for each in entries:
            yield from (str(value) for value in each.values() if " " in str(value))


@pytest.mark.parametrize("language", ["fr", "de"])
def test_issued_papers_say_nothing_in_english(
    language: str, author: User, shop: Shop, printed: Printed
) -> None:
    test = procedure_test(author)
    holder = welder()
    certificate = welder_test(author, holder)
    iso = welder_test(author, holder, "WT-030", edition="iso_9606_2_2004")
    procedure = spec(author, test, state=State.APPROVED)
    for record in (test, certificate, iso, procedure):
        content = content_of(record)
        issue.rendered(record, content, content, "a4", language=language)
    shop_sheet.shop_sheet_pdf(procedure, "a4", language=language)
    validity_sheet.sheet_of(iso, date(2026, 6, 22), language)
    packet = packet_for(author, procedures=[procedure.pk], welders=[holder.pk], language=language)
    packet.day = date(2026, 6, 22)
    front.render_front(packet, contents_of(packet, packet.day), [], [], {}, 1, "0")
    typed = {each for each in typed_in(test, certificate, iso, procedure) if each}
    found = {text for paper in printed for text in english_in(paper, typed)}
    assert len(printed) >= 6
    assert found == set()
    if language == "fr":
        assert [marks for paper in printed if (marks := close_marks(paper, " ".join(typed)))] == []


@pytest.mark.parametrize("language", ["fr", "de"])
def test_papers_made_on_request_speak_the_readers_language(
    language: str, author: User, printed: Printed
) -> None:
    """An appendix prints sentences of the tables of the codes, which are in English yet: counted."""
    test = procedure_test(author)
    made = trial(author)
    weld_pass(made)
    with speaking(language):
        appendix.appendix_of(test, "a4")
        trial_report.report_of(made, "a4")
        sheet = work_sheet("asme_ix_2023")
        work_sheet_paper.sheet_paper(sheet, Part.REST, 1, "a4")
    why, report, numbers = printed
    assert len(english_in(why, set(typed_in(test)) - {""})) <= FROM_TABLES
    assert f'lang="{language}"' in report
    assert not {"Setting", "Outcome", "The program says"} & set(html.fromstring(numbers).xpath("//th/text()"))

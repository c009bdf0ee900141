"""Each kind of paper in French and in German has no English words but those that stay: what people typed,
names of standards and documents, designations. `python -m tests.tongues.papers` reads a whole shop's."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import State
from qualification.tongues.languages import speaking
from tests.documents.packet_records import packet_for
from tests.shop_records import procedure_test, spec, welder, welder_test
from tests.tongues.french_marks import close_marks
from tests.tongues.papers import left_in_english, papers_read, stays
from tests.trial_records import trial, weld_pass
from wps.corrections.work_sheet import Part, work_sheet
from wps.corrections.work_sheet_paper import sheet_paper
from wps.documents.appendix import appendix_of
from wps.documents.checking import check_file
from wps.documents.context import content_of
from wps.documents.every_row_paper import every_row_paper
from wps.documents.issue import rendered
from wps.documents.report_paper import report_paper
from wps.documents.report_words import report_content
from wps.documents.shop_sheet import shop_sheet_pdf
from wps.documents.trial_report import report_of
from wps.documents.validity_sheet import sheet_of
from wps.packets import front
from wps.packets.contents import contents_of
from wps.procedures.every_row import rows_of

pytestmark = pytest.mark.usefixtures("shop")
DAY = date(2026, 6, 22)


def issued_papers(author: User, language: str) -> Iterator[str]:
    """Makes each paper that has a language of its own; the name of each."""
    test, holder = procedure_test(author), welder()
    iso = welder_test(author, holder, "WT-030", edition="iso_9606_2_2004")
    procedure = spec(author, test, state=State.APPROVED)
    for record in (test, welder_test(author, holder), iso, procedure):
        content = content_of(record)
        rendered(record, content, content, "a4", language=language)
        yield record.number
    shop_sheet_pdf(procedure, "a4", language=language)
    yield "sheet at the arc"
    sheet_of(iso, DAY, language)
    yield "confirmations"
    packet = packet_for(author, procedures=[procedure.pk], welders=[holder.pk], language=language)
    packet.day = DAY
    front.render_front(packet, contents_of(packet, packet.day), [], [], {}, 1, "0")
    yield "packet"


def papers_on_request(author: User) -> Iterator[str]:
    """Makes each paper in the language that speaks now; the name of each."""
    test, made = procedure_test(author), trial(author)
    weld_pass(made)
    appendix_of(test, "a4")
    yield "appendix"
    every_row_paper(test, *rows_of(test), "a4")
    yield "every row"
    report = report_of(made, "a4").pdf
    yield "trial"
    report_paper(report_content(check_file(report, "4711.pdf")))
    yield "check of a file"
    for part in (Part.USED, Part.REST):
        sheet_paper(work_sheet("asme_ix_2023"), part, 1, "a4")
        yield f"work sheet, {part}"


@pytest.mark.parametrize("language", ["fr", "de"])
def test_issued_papers_say_nothing_in_english(language: str, author: User) -> None:
    with papers_read() as read, speaking("en"):
        made = []
        for name in issued_papers(author, language):
            made += [(name, *page) for page in read.taken()]
    typed = stays(language)
    assert len(made) >= 7
    assert [(name, left) for name, *page in made if (left := left_in_english(page, language, typed))] == []
    if language == "fr":
        words = " ".join(typed)
        assert [marks for _, page, _ in made if (marks := close_marks(page, words))] == []


@pytest.mark.parametrize("language", ["fr", "de"])
def test_papers_made_on_request_speak_the_readers_language(language: str, author: User) -> None:
    made = []
    with papers_read() as read, speaking(language):
        for name in papers_on_request(author):
            made += [(name, *page) for page in read.taken()]
        typed = stays(language)
    assert len(made) >= 6
    assert [name for name, page, _ in made if f'lang="{language}"' not in page] == []
    assert [(name, left) for name, *page in made if (left := left_in_english(page, language, typed))] == []


def test_papers_open_in_the_language_of_their_reader(author: User, reader_client: Client) -> None:
    draft = spec(author, procedure_test(author))
    kept = welder_test(author, welder(), "WT-030", edition="iso_9606_2_2004")
    reader_client.post(reverse("look"), {"look": "", "language": "de"})
    asked = [
        reverse("document", args=["procedure", draft.pk]),
        reverse("shop_sheet_pdf", args=[draft.pk]),
        reverse("validity_sheet", args=[kept.pk]),
    ]
    with papers_read() as read:
        spoken = []
        for address in asked:
            assert reader_client.get(address).status_code == 200
            spoken.append({'lang="de"' in page for page, _ in read.taken()})
        reader_client.get(f"{asked[0]}?language=fr")
        spoken.append({'lang="fr"' in page for page, _ in read.taken()})
    assert spoken == [{True}] * 4


def test_the_page_of_a_document_leads_back_in_one_message(author: User, reader_client: Client) -> None:
    test = procedure_test(author)
    reader_client.post(reverse("look"), {"look": "", "language": "fr"})
    page = reader_client.get(reverse("issued_document", args=["procedure-test", test.pk])).content.decode()
    assert "Document de l’essai de mode opératoire" in page
    assert "Retour à l’essai de mode opératoire" in page
    assert "procedure test" not in page.lower()


def test_english_that_is_left_is_found(author: User) -> None:
    """The papers would have none if nothing were looked for."""
    typed = stays("fr")
    page = (
        '<html lang="fr"><body><p>Nothing may be welded to this paper.</p><p>Métal de base</p></body></html>'
    )
    assert left_in_english((page, set()), "fr", typed) == {
        "Nothing may be welded to this paper.": "be, may, nothing, this, to, welded"
    }
    untold = {"Opened wide", "6061-T6", "Métal de base"}
    assert left_in_english(("<html></html>", untold), "fr", typed) == {"Opened wide": "no message"}

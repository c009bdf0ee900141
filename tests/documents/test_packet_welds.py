"""A packet for a job: the weld list first, only the evidence its welds rest on, in the recipient's units; the
letter that goes with it, and the papers of its records."""

from __future__ import annotations

import io
from datetime import date
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains

from tests.documents.packet_records import packet_for
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.forms.packet import PacketForm, by_record
from wps.jobs.weld_log import Entry, Writer
from wps.models import Attachment, Lot, Packet, PacketItem, Transmittal
from wps.packets.contents import contents_of, proposed_for
from wps.packets.front import render_front
from wps.packets.weld_rows import weld_rows

DAY = date(2031, 4, 1)
A4 = 842
"""Points of its height; Letter has 792."""
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


@pytest.fixture(autouse=True)
def _today() -> Any:
    with time_machine.travel("2031-04-01 10:00", tick=False):
        yield


@pytest.fixture
def work(author: User) -> SimpleNamespace:
    """A procedure on two tests, of which thin work needs one; two welders, and one weld welded."""
    thin = procedure_test(author, number="PT-014")
    thick = procedure_test(
        author,
        number="PT-015",
        joint={"thickness_a": "1"},
        lines=[{"deposit_thickness": "1"}],
    )
    made = spec(author, thin, state="approved")
    made.tests.add(thick)
    anouk, bert = welder(), welder("BE", "Bert Engel")
    own, other = welder_test(author, anouk, "WT-021"), welder_test(author, bert, "WT-022")
    order = job()
    first = part(order, "0412", spec_number="W-101", drawing="GW-101", drawing_revision="B")
    second = part(
        order,
        "0413",
        spec_number="W-101",
        despite={"spec": {"reason": "Engineer agreed on 3 March", "assigned": "W-101"}},
    )
    lot = Lot.objects.create(kind="filler", number="7731", material="ER5356 3/64")
    Writer(order, author).write([Entry(first, "welded", DAY, welder=anouk, lots=[lot])])
    return SimpleNamespace(
        spec=made,
        thin=thin,
        thick=thick,
        anouk=anouk,
        bert=bert,
        own=own,
        other=other,
        job=order,
        lot=lot,
        first=first,
        second=second,
    )


def packet_of(author: User, work: SimpleNamespace, **choice: Any) -> Packet:
    packet = packet_for(
        author, **{"procedures": [work.spec.pk], "welders": [work.anouk.pk, work.bert.pk], **choice}
    )
    packet.job, packet.day = work.job, DAY
    packet.save()
    return packet


def text_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def test_the_weld_list_is_the_first_table_and_says_what_each_weld_rests_on(
    author: User, work: SimpleNamespace
) -> None:
    packet = packet_of(author, work)
    pages = text_of(render_front(packet, contents_of(packet, DAY), [], [], {}, 3, "2 entries").pdf)
    (place,) = [number for number, text in enumerate(pages) if "Weld list on 2031-04-01" in text]
    assert place < next(number for number, text in enumerate(pages) if "Index" in text)
    for said in (
        "2 welds",
        "0412",
        "GW-101 rev B",
        "W-101 rev 0 on PT-014",
        "AB Anouk Berglund, WT-021",
        "7731",
        "2031-04-01",
        "Waiting for visual",
        "0413",
        "Not welded",
        "Engineer agreed on 3 March",
    ):
        assert said in pages[place], said
    assert "PT-015" not in pages[place]
    assert "ER5356 3/64" in " ".join(pages)


def test_only_the_tests_that_the_welds_rest_on_come_along_and_others_are_added(
    author: User, work: SimpleNamespace
) -> None:
    contents = contents_of(packet_of(author, work, welders=[work.anouk.pk]), DAY)
    assert [each.number for each in contents.procedure_tests] == ["PT-014"]
    assert [each.number for each in contents.welder_tests] == ["WT-021"]
    Packet.objects.all().delete()
    more = packet_of(
        author, work, welders=[work.anouk.pk], procedure_tests=[work.thick.pk], welder_tests=["WT-021"]
    )
    assert [each.number for each in contents_of(more, DAY).procedure_tests] == ["PT-014", "PT-015"]
    more.job = None
    without = contents_of(more, DAY)
    assert [each.number for each in without.procedure_tests] == ["PT-014", "PT-015"]
    assert without.welds == ()


def test_a_weld_outside_its_procedure_brings_all_its_tests_and_says_why(
    author: User, work: SimpleNamespace
) -> None:
    part(work.job, "0414", spec_number="W-101", joint={**work.second.joint, "thickness_a": "9 in"})
    contents = contents_of(packet_of(author, work), DAY)
    assert [each.number for each in contents.procedure_tests] == ["PT-014", "PT-015"]
    outside = weld_rows(contents.welds)[-1]
    assert outside.tests == "on PT-014, PT-015"
    assert any("thickness" in said.lower() for said in outside.remarks)


def test_a_job_proposes_who_welded_and_for_the_rest_who_may(author: User, work: SimpleNamespace) -> None:
    assert proposed_for(work.job, DAY)["welders"] == sorted([work.anouk.pk, work.bert.pk])
    work.second.welder = work.anouk
    work.second.save()
    assert proposed_for(work.job, DAY)["welders"] == [work.anouk.pk]


def test_the_front_reads_in_the_units_of_the_recipient(author: User, work: SimpleNamespace) -> None:
    packet = packet_of(author, work)
    welds = contents_of(packet, DAY).welds
    assert "1/4 in (6.35 mm)" in weld_rows(welds)[0].what
    assert "6.35 mm (1/4 in)" in weld_rows(welds, "si")[0].what
    packet.choice = {**packet.choice, "units": "si"}
    made = render_front(packet, contents_of(packet, DAY), [], [], {}, 3, "2 entries").pdf
    cover = pypdf.PdfReader(io.BytesIO(made)).pages[0]
    assert round(float(cover.mediabox.height)) == A4
    assert "6.35 mm (1/4 in)" in " ".join(text_of(made))


def paper(title: str, **about: Any) -> Attachment:
    return Attachment.objects.create(
        kind="mill",
        title=title,
        filename="paper.png",
        media_type="image/png",
        sha256="a" * 64,
        size=10,
        pages=1,
        added_by_name="Maren Oosting",
        **about,
    )


def test_papers_stand_on_their_record_and_are_chosen_by_it(
    author_client: Client, work: SimpleNamespace
) -> None:
    own = paper("6061 plate", record_kind="procedure-test", record_number="PT-014")
    of_spec = paper("Drawing 7", record_kind="procedure", record_number="W-101")
    aside = paper(
        "Other plate",
        record_kind="procedure-test",
        record_number="PT-014",
        set_aside_because="Wrong.",
    )
    loose = paper("Price list")
    test_page = author_client.get(work.thin.get_absolute_url()).content.decode()
    assert reverse("attachment_file", args=[own.pk]) in test_page
    assert reverse("attachment_file", args=[aside.pk]) not in test_page
    assert "attachments/add/?record=procedure-test%3APT-014" in test_page
    assert (
        reverse("attachment_file", args=[of_spec.pk])
        in author_client.get(work.spec.get_absolute_url()).content.decode()
    )
    add = author_client.get(reverse("attachment_add"), {"record": "procedure-test:PT-014"})
    assert add.context["form"]["record"].value() == "procedure-test:PT-014"
    assert [(name, [pk for pk, _ in papers]) for name, papers in by_record([own, of_spec, loose])] == [
        ("Of no record", [loose.pk]),
        ("Procedure W-101", [of_spec.pk]),
        ("Procedure test PT-014", [own.pk]),
    ]


def test_tests_are_added_on_the_form_of_a_job_s_packet_alone(
    author: User, author_client: Client, work: SimpleNamespace
) -> None:
    packet = packet_of(author, work)
    page = author_client.get(reverse("packet_edit", args=[packet.pk]))
    assertContains(page, "Further procedure tests")
    data = {
        "title": packet.title,
        "recipient": packet.recipient,
        "procedures": [work.spec.pk],
        "welders": [work.anouk.pk],
        "procedure_tests": [work.thick.pk],
        "units": "si",
        "version": page.context["opened"].version,
    }
    assert author_client.post(reverse("packet_edit", args=[packet.pk]), data).status_code == 302
    packet.refresh_from_db()
    assert (packet.choice["procedure_tests"], packet.choice["units"]) == ([work.thick.pk], "si")
    packet.job = None
    assert "procedure_tests" not in PacketForm(instance=packet).fields


def test_a_letter_goes_with_a_packet_and_is_countersigned(
    author: User, reader_client: Client, work: SimpleNamespace
) -> None:
    packet = packet_of(author, work)
    PacketItem.objects.create(
        packet=packet,
        position=0,
        section="procedure",
        title="Procedure: Deck",
        reference="W-101 rev 0",
        filename="W-101-rev-0.pdf",
        sha256="a" * 64,
        pages=2,
        first_page=4,
    )
    sent = Transmittal.objects.create(
        packet=packet,
        recipient="Port Ellery",
        sent_on=DAY,
        way="portal",
        sha256="ab" * 32,
        recorded_by_name="Maren Oosting",
    )
    answer = reader_client.get(reverse("transmittal_letter", args=[sent.pk]))
    assert answer["Content-Type"] == "application/pdf"
    (text,) = text_of(answer.content)
    for said in (
        "Port Ellery",
        "W-101 rev 0",
        "portal",
        "Received, for Port Ellery",
        "Maren Oosting",
        "J-3107",
    ):
        assert said in text
    assert "ab" * 32 in text.replace(" ", "")

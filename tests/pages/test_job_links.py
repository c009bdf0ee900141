"""A link that shows one job to somebody outside: what it opens, what not, until when, and its trail."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from qualification.models.audit import AuditEntry
from tests.fuzz.targets import addresses
from tests.shop_records import job, part, welder
from wps.documents import vault
from wps.documents.codes import new_code
from wps.models import IssuedDocument, Job, JobLink, Packet, PacketItem, PacketState, Step, WeldEvent
from wps.packets.shared import make_link, take_back

pytestmark = pytest.mark.django_db


def paper(author: User, number: str) -> IssuedDocument:
    """An issued document; its bytes are not looked at here."""
    content = f"%PDF of {number}".encode()
    return IssuedDocument.objects.create(
        kind="procedure-test",
        record_id=IssuedDocument.objects.count() + 900,
        number=number,
        revision=1,
        code=new_code(),
        snapshot_hash="0" * 64,
        sha256=vault.store(content),
        author=author,
        approved_at=timezone.now(),
        stage="signed",
    )


def packet(author: User, of: Job, number: str, state: str, *papers: IssuedDocument) -> Packet:
    made = Packet.objects.create(
        number=number, title="Gangway", recipient="Port Ellery", job=of, code=new_code(), state=state,
        sha256=vault.store(f"%PDF of {number}".encode()) if state == PacketState.ISSUED else "",
        issued_at=timezone.now(), made_by=author, made_by_name="Maren Oosting", day=timezone.localdate(),
    )  # fmt: skip
    for position, each in enumerate(papers):
        PacketItem.objects.create(
            packet=made, position=position, document=each, title=each.number, filename=f"{each.number}.pdf",
            sha256=each.sha256, pages=1,
        )  # fmt: skip
    return made


def text(answer: HttpResponse) -> str:
    return answer.content.decode()


@pytest.fixture
def shown(author: User) -> tuple[Job, str]:
    """A job with a welded weld, an issued packet and one that is not; and a second job with as much."""
    first, second = job("J-1", title="Gangway"), job("J-2", title="Ladder")
    for of, n in ((first, 1), (second, 2)):
        weld = part(of, f"G-{n}")
        WeldEvent.objects.create(
            part=weld, step=Step.WELDED, done_on=date(2026, 5, 2), recorded_by_name="Maren Oosting",
            welder=welder(f"A{n}", f"Anouk Berglund {n}"),
        )  # fmt: skip
        WeldEvent.objects.create(
            part=weld, step=Step.VISUAL, done_on=date(2026, 5, 3), by_name="Ilse Varga", result="accepted",
            recorded_by_name="Maren Oosting",
        )  # fmt: skip
        packet(author, of, f"P-{n}", PacketState.ISSUED, paper(author, f"PT-{n}"))
        packet(author, of, f"P-{n}9", PacketState.READY, paper(author, f"PT-{n}9"))
    return first, make_link(first, "Inspector Rask", timezone.localdate() + timedelta(days=3), author)


def test_it_shows_the_job_with_results_and_names_nobody(client: Client, shown: tuple[Job, str]) -> None:
    page = text(client.get(f"/shared/{shown[1]}/"))
    for expected in ("J-1", "G-1", "A1", "2026-05-02", "Accepted 2026-05-03", "P-1", "PT-1"):
        assert expected in page
    for hidden in ("J-2", "G-2", "P-19", "PT-19", "PT-2", "Berglund", "Varga", "Oosting"):
        assert hidden not in page


def test_its_files_are_those_of_the_job_alone(client: Client, shown: tuple[Job, str]) -> None:
    base = f"/shared/{shown[1]}"
    opened = {
        each.number for each in IssuedDocument.objects.all()
        if client.get(f"{base}/papers/{each.pk}.pdf").status_code == 200
    }  # fmt: skip
    opened |= {
        each.number for each in Packet.objects.all()
        if client.get(f"{base}/packets/{each.pk}.pdf").status_code == 200
    }  # fmt: skip
    assert opened == {"PT-1", "P-1"}


def test_no_other_address_opens_by_it_and_nothing_is_written(client: Client, shown: tuple[Job, str]) -> None:
    """Every address of the program, by a visitor who opened the link and by one who did not."""
    secret, stranger = shown[1], Client()
    client.get(f"/shared/{secret}/")
    before = AuditEntry.objects.count()
    for address in addresses():
        if address.text.startswith("shared/"):
            continue
        path = address.filled(1, secret)
        assert client.get(path).status_code == stranger.get(path).status_code, path
        client.post(path)
    assert AuditEntry.objects.exclude(verb="sign_in_failed").count() == before
    for name in ("shared_job", "shared_paper", "shared_packet"):
        path = reverse(name, args=[secret] if name == "shared_job" else [secret, 1])
        assert client.post(path).status_code == 405
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize("way", ["past its day", "taken back"])
def test_it_ends(client: Client, shown: tuple[Job, str], author: User, way: str) -> None:
    link, base = JobLink.objects.get(), f"/shared/{shown[1]}"
    JobLink.objects.update(ends_on=timezone.localdate())
    assert client.get(f"{base}/").status_code == 200  # on its last day
    if way == "taken back":
        take_back(link, author)
    else:
        JobLink.objects.update(ends_on=timezone.localdate() - timedelta(days=1))
    answer = client.get(f"{base}/")
    assert answer.status_code == 410
    assert "Gangway" not in answer.content.decode()
    packet_path = f"{base}/packets/{Packet.objects.get(number='P-1').pk}.pdf"
    assert client.get(packet_path, follow=True).status_code == 410
    assert client.get(f"/shared/{shown[1][:-1]}x/").status_code == 404


def test_its_making_use_and_end_are_in_the_trail(
    client: Client, author_client: Client, shown: tuple[Job, str]
) -> None:
    secret, link = shown[1], JobLink.objects.get()
    for _ in range(3):
        client.get(f"/shared/{secret}/")  # told once a day
    client.get(f"/shared/{secret}/packets/{Packet.objects.get(number='P-1').pk}.pdf")
    author_client.post(f"/jobs/{link.job_id}/links/{link.pk}/take-back/")
    kept = AuditEntry.objects.filter(record_kind=JobLink.KIND).order_by("number")
    assert list(kept.values_list("verb", flat=True)) == ["create", "open_link", "download", "take_back_link"]
    assert {each.actor_name for each in kept[1:3]} == {"Inspector Rask (by link)"}
    assert secret not in str(list(kept.values()))


def test_it_is_made_and_shown_once_by_an_author(author_client: Client, reader_client: Client) -> None:
    found = job()
    path = f"/jobs/{found.pk}/links/"
    assert reader_client.get(path).status_code == 403
    assert reader_client.post(f"{path}1/take-back/").status_code == 403
    today = timezone.localdate()
    for days in (-1, 367):
        refused = author_client.post(path, {"recipient": "Rask", "ends_on": today + timedelta(days=days)})
        assert refused.status_code == 422
        assert 'value="Rask"' in refused.content.decode()
    for days in (0, 366):
        page = text(author_client.post(path, {"recipient": "Rask", "ends_on": today + timedelta(days=days)}))
        assert "/shared/" in page
    assert "/shared/" not in text(author_client.get(path))

"""Measures documents on this machine and prints ratios; nothing is stored: all of it happens in a transaction
that is undone."""

from __future__ import annotations

import gc
import resource
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.test.utils import override_settings
from django.utils import timezone

from qualification.models import State
from wps.documents import vault
from wps.documents.codes import mark_of, new_code
from wps.documents.context import document_context
from wps.documents.issue import paper_of, rendered, words_of
from wps.documents.issuing import begin_issue, embedded_content, prepared, render_issued
from wps.documents.kinds import document_for
from wps.documents.render import PDF_VARIANT, render_html
from wps.models import IssuedDocument, Packet, PacketState, Spec
from wps.packets.assembly import FIELD, Piece, pieces_of, write_packet
from wps.packets.contents import Contents, contents_of
from wps.signing.authority import authority, issue_personal
from wps.signing.sign import sign_file

GOAL_RENDER, GOAL_PACKET, GOAL_MEMORY = 1.3, 0.05, 300.0
TURNS = 7
"""How often both sides of the first ratio are measured, in turns."""


class Command(BaseCommand):
    help = (
        "Print ratios: rendering one procedure against WeasyPrint alone, a packet of many documents against"
        " rendering them again, memory."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--documents", type=int, default=100, help="documents in the packet (default 100)"
        )
        parser.add_argument(
            "--rendered",
            type=int,
            default=8,
            help="of these, how many are rendered again for the comparison (default 8)",
        )

    def handle(self, *args: Any, documents: int, rendered: int, **options: Any) -> None:
        spec = Spec.objects.filter(state=State.APPROVED).first()
        if spec is None:
            raise CommandError(
                "There is no approved procedure to measure with. Load the demo shop first: manage.py demo"
            )
        with (
            tempfile.TemporaryDirectory() as folder,
            override_settings(ISSUED_DIR=Path(folder)),
            transaction.atomic(),
        ):
            issued = _issued(spec)
            ratios = _rendering(spec, issued)
            self._say(
                "One procedure, ready to be signed, against WeasyPrint alone",
                median(ratios),
                GOAL_RENDER,
                f"median of {len(ratios)}, from {min(ratios):.2f} to {max(ratios):.2f}",
            )
            again = _seconds(lambda: _render(spec, issued, rendered)) / rendered * documents
            before = _peak()
            packet, contents, pieces = _packet(spec, documents)
            put_together = _seconds(lambda: _issue(packet, contents, pieces, Path(folder)))
            self._say(
                f"Packet of {documents} documents, {packet.pages} pages, signed, against rendering them"
                " again",
                put_together / again,
                GOAL_PACKET,
                f"{put_together:.2f} s / {again:.1f} s, the latter from {rendered} documents",
            )
            self._say(
                "Peak memory of all this, MB", _peak(), GOAL_MEMORY, f"{before:.0f} MB before the packet"
            )
            transaction.set_rollback(True)

    def _say(self, what: str, found: float, goal: float, how: str) -> None:
        self.stdout.write(
            f"{what}: {found:.3f} (goal: {goal} or less{'' if found <= goal else ', MISSED'}; {how})"
        )


def _issued(spec: Spec) -> IssuedDocument:
    begin_issue(spec, spec.author)
    document = document_for(spec)
    assert document is not None
    IssuedDocument.objects.filter(pk=document.pk).update(sha256="", rendered_sha256="")
    render_issued(document.pk, lambda done, total: None)
    document.refresh_from_db()
    return document


def _rendering(spec: Spec, issued: IssuedDocument) -> list[float]:
    """The program's time over that of WeasyPrint alone for the same HTML, taken in turns after both ran
    once."""
    from weasyprint import HTML

    from wps.documents.assets import AssetFetcher

    assert spec.snapshot is not None
    template, words = words_of(spec)
    context = {**document_context(spec.snapshot), **words, "mark": mark_of(issued.code)}
    html = render_html(template, context, paper_of(spec.snapshot))

    def bare() -> None:
        HTML(string=html, url_fetcher=AssetFetcher(), base_url="asset:/").write_pdf(
            pdf_variant=PDF_VARIANT, pdf_tags=True
        )

    bare()
    _render(spec, issued)
    return [_seconds(lambda: _render(spec, issued)) / _seconds(bare) for _ in range(TURNS)]


def _render(spec: Spec, issued: IssuedDocument, times: int = 1) -> None:
    snapshot = spec.snapshot
    assert snapshot is not None
    for _ in range(times):
        content = embedded_content(spec, issued)
        prepared(rendered(spec, snapshot, content, paper_of(snapshot), mark_of(issued.code)), issued)


def _issue(packet: Packet, contents: Contents, pieces: list[Piece], folder: Path) -> None:
    """Put the packet together and sign it, with a certificate that is thrown away."""
    passphrase = "only to measure with"
    pkcs12 = issue_personal(authority(folder / "authority", "Nobody"), "Nobody", "", passphrase)
    with vault.incoming() as made, vault.incoming() as signed:
        write_packet(packet, contents, pieces, made.stream, lambda done, total: None)
        sign_file(made.stream, signed.stream, FIELD, pkcs12, passphrase, "To measure", certify=True)


def _packet(spec: Spec, count: int) -> tuple[Packet, Contents, list[Piece]]:
    """A packet that brings the procedure's stored document `count` times over, as so many files."""
    packet = Packet.objects.create(
        number="BENCH",
        title="Measured",
        recipient="Nobody",
        choice={"procedures": [spec.pk], "welders": []},
        code=new_code(),
        made_by=spec.author,
        made_by_name="Nobody",
        day=timezone.localdate(),
        state=PacketState.ASSEMBLING,
    )
    contents = contents_of(packet, timezone.localdate())
    first = pieces_of(packet, contents)[0]
    pieces = []
    for number in range(count):
        item = type(first.item)(
            packet=packet,
            position=number,
            section=first.item.section,
            document=first.item.document,
            title=first.item.title,
            reference=first.item.reference,
            sha256=first.item.sha256,
            pages=first.item.pages,
            filename=f"{number:03}-{first.item.filename}",
        )
        pieces.append(Piece(item, first.state))
    return packet, contents, pieces


def _seconds(work: Callable[[], object]) -> float:
    """Processor time of this process, so that whatever else the machine does leaves the ratio alone. What was
    left behind before is cleared away first, or one side would pay for the other."""
    gc.collect()
    start = time.process_time()
    work()
    return time.process_time() - start


def _peak() -> float:
    """Highest memory of this process so far, in MB (Linux counts in kilobytes)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

"""Every paper of the shop's records in each of its states, on both sheet sizes."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence

import pikepdf
from django.utils import timezone

from qualification.codes.editions import available_editions
from qualification.models import Record, State, Trial, WelderTest
from qualification.records.unchanged import AFTER_APPROVAL
from qualification.tongues.languages import language_now
from wps.corrections.work_sheet import Part, work_sheet
from wps.corrections.work_sheet_paper import sheet_paper
from wps.documents import vault
from wps.documents.appendix import appendix_of
from wps.documents.checking import check_file
from wps.documents.codes import mark_of
from wps.documents.context import content_of
from wps.documents.every_row_paper import every_row_paper
from wps.documents.issue import PAPERS, rendered
from wps.documents.kinds import KINDS
from wps.documents.report_paper import report_paper
from wps.documents.report_words import report_content
from wps.documents.shop_sheet import shop_sheet_pdf
from wps.documents.trial_report import report_of
from wps.documents.validity_sheet import sheet_of
from wps.gallery.extremes import extremes
from wps.models import IssuedDocument, Packet, Spec, Transmittal
from wps.packets.contents import contents_of
from wps.packets.front import render_front
from wps.packets.letter import letter_of
from wps.procedures.every_row import rows_of

CODE = "0000000000"
Made = tuple[str, bytes, int]
"""Name, bytes and pages of a paper."""


def papers(only: str | None = None, *, brief: bool = False) -> Iterator[Made]:
    """Each paper: a record in its own state, then as if in every other; then what goes with records. In brief
    only the first record of each kind stands for the other states."""
    for kind, model in KINDS.items():
        states: Sequence[str] = State.values
        for record in model.objects.order_by("number", "revision"):
            if only is None or record.number == only:
                yield from of_record(kind, record, states)
                states = () if brief else states
    if only is None:
        for kind, record in extremes():
            yield from of_record(kind, record, ())
        yield from _of_every_row()
        yield from _of_checks()
        yield from _of_trials()
        yield from _of_packets()
        yield from _of_tables()


def of_record(
    kind: str, record: Record, states: Sequence[str] = State.values, sheets: Sequence[str] = PAPERS
) -> Iterator[Made]:
    """The papers of one record, as if in each of the states, in the language that speaks now."""
    content, language = content_of(record), language_now()
    name = f"{kind}-{record.number}-{record.revision}"
    for paper in sheets:
        for state in states:
            shown = {**content, "state": state}
            mark = {**mark_of(CODE), "trail": "0"} if state in AFTER_APPROVAL else None
            made = rendered(record, shown, shown, paper, mark, language)
            yield f"{name}-{state}-{paper}", made.pdf, made.pages
        made = rendered(record, content, content, paper, language=language)
        yield f"{name}-not-issued-{paper}", made.pdf, made.pages
        yield _counted(f"{name}-appendix-{paper}", appendix_of(record, paper).pdf)
        if isinstance(record, Spec):
            yield _counted(f"{name}-shop-floor-{paper}", shop_sheet_pdf(record, paper, language=language).pdf)
    if isinstance(record, WelderTest) and (sheet := sheet_of(record, timezone.localdate(), language)):
        yield _counted(f"{name}-confirmations", sheet.pdf)


def _of_every_row() -> Iterator[Made]:
    """Every row of the code, asked about the first record of each kind and edition."""
    for kind, model in KINDS.items():
        asked: set[str] = set()
        for record in model.objects.order_by("number", "revision"):
            if record.edition not in asked:
                asked.add(record.edition)
                made = every_row_paper(record, *rows_of(record), PAPERS[0])
                yield _counted(f"{kind}-{record.number}-{record.revision}-every-row", made.pdf)


def _of_checks() -> Iterator[Made]:
    """Reports on files: of each kind of document as it is kept, on the last with a byte changed, and on a
    paper that nobody issued."""
    for kind in KINDS:
        if kept := IssuedDocument.objects.filter(kind=kind).exclude(sha256="").order_by("number").first():
            pdf = vault.read(kept.sha256)
            yield _check_of(f"check-{kind}-{kept.number}", pdf)
            middle = len(pdf) // 2
            yield _check_of(
                f"check-{kind}-spoiled", pdf[:middle] + bytes([pdf[middle] ^ 1]) + pdf[middle + 1 :]
            )
    for packet in Packet.objects.exclude(sha256="")[:1]:
        yield _check_of(f"check-packet-{packet.number}", vault.read(packet.sha256))
    for trial in Trial.objects.order_by("pk")[:1]:
        yield _check_of("check-not-issued", report_of(trial).pdf)


def _check_of(name: str, pdf: bytes) -> Made:
    return _counted(name, report_paper(report_content(check_file(pdf, f"{name}.pdf"))))


def _of_trials() -> Iterator[Made]:
    for trial in Trial.objects.select_related("welder").order_by("pk"):
        for paper in PAPERS:
            yield _counted(f"trial-{trial.pk}-{paper}", report_of(trial, paper).pdf)


def _of_packets() -> Iterator[Made]:
    """The front as on the day of assembly, and the letters."""
    for packet in Packet.objects.select_related("job"):
        packet.day = packet.day or timezone.localdate()
        for units in ("us", "si"):
            packet.choice = {**packet.choice, "units": units, "language": language_now()}
            made = render_front(packet, contents_of(packet, packet.day), [], [], {}, 1, "0")
            yield f"packet-{packet.number}-front-{units}", made.pdf, made.pages
    for transmittal in Transmittal.objects.select_related("packet__job"):
        yield _counted(f"packet-{transmittal.packet.number}-letter-{transmittal.pk}", letter_of(transmittal))


def _of_tables() -> Iterator[Made]:
    """The first work sheet of each edition, and one of a part with nothing left."""
    for key, _ in available_editions():
        sheet = work_sheet(key)
        part = Part.USED if sheet.left.used_left else Part.REST
        for paper in PAPERS:
            yield _counted(f"work-sheet-{key}-{part}-{paper}", sheet_paper(sheet, part, 1, paper))
        yield _counted(f"work-sheet-{key}-nothing-left", sheet_paper(sheet, part, len(sheet.lines) + 1))


def _counted(name: str, pdf: bytes) -> Made:
    with pikepdf.open(io.BytesIO(pdf)) as document:
        return name, pdf, len(document.pages)

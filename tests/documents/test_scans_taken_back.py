"""The bytes of a scan go when the list is not imported, and never from under somebody who stores a record
that names the same bytes: two acts in every interleaving, one halted before each of its lines while the other
runs.

Source of the expectation: a content-addressed store loses a file only by deleting what is still, or is just
being, referred to (common practice; the interleavings are generated, from the lines of the program)."""

from __future__ import annotations

import io
import sys
import threading
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone
from PIL import Image
from pytest_django.asserts import assertContains

from qualification.models import Welder, WelderTest
from qualification.models.audit import AuditEntry
from tests.documents.test_attachments import vault_files
from wps.documents import attachments, left_over, vault
from wps.documents.attachments import keep_attachment, look_at
from wps.documents.left_over import clear_left_over, named_files
from wps.jobs.list_look import ImportRefused
from wps.models import Attachment, AttachmentKind, ListImport, ListScan
from wps.outside import list_import as importing
from wps.outside import list_scans
from wps.outside.list_scans import Placed, attach_scans, drop_lists, keep_scans, let_go

pytestmark = pytest.mark.django_db(transaction=True)
WATCHED = {vault.__file__, left_over.__file__, list_scans.__file__, attachments.__file__}
BLOCKED_SECONDS = 0.02
"""How long the other gets while the halted one holds the lock it needs."""
Act = Callable[[], object]


def picture(number: int) -> bytes:
    """Other bytes for each run: the trail names what was attached before for good."""
    made = io.BytesIO()
    Image.new("RGB", (4, 4), (number // 65536, number // 256 % 256, number % 256)).save(made, "PNG")
    return made.getvalue()


class Halted(threading.Thread):
    """Runs an act and halts it once, before the line of that number among those of the watched files, each
    counted when it is reached first."""

    def __init__(self, act: Act, line: int) -> None:
        super().__init__()
        self.act, self.line = act, line
        self.lines: dict[tuple[str, int], None] = {}
        self.holds_a_transaction = False
        self.here, self.go_on = threading.Event(), threading.Event()
        self.failed: BaseException | None = None

    def run(self) -> None:
        sys.settrace(self._enter)
        try:
            self.act()
        except BaseException as error:  # told by the test
            self.failed = error
        finally:
            sys.settrace(None)
            self.here.set()
            connection.close()

    def _enter(self, frame: FrameType, event: str, arg: Any) -> Any:
        return self._step if frame.f_code.co_filename in WATCHED else None

    def _step(self, frame: FrameType, event: str, arg: Any) -> Any:
        at = frame.f_code.co_filename, frame.f_lineno
        if event == "line" and at not in self.lines:
            self.lines[at] = None
            if len(self.lines) == self.line:
                self.holds_a_transaction = connection.in_atomic_block
                self.here.set()
                self.go_on.wait()
        return self._step


def interleaved(first: Act, second: Act, line: int) -> bool:
    """Run both, the first halted before that line; False once the act has no such line."""
    halted = Halted(first, line)
    halted.start()
    halted.here.wait()
    other = Halted(second, 0)
    other.start()
    other.join(BLOCKED_SECONDS if halted.holds_a_transaction else None)
    halted.go_on.set()
    for each in (halted, other):
        each.join()
        if each.failed is not None and not isinstance(each.failed, vault.Damaged | ImportRefused):
            raise each.failed
    return len(halted.lines) >= line


@pytest.fixture(autouse=True)
def _looked_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    looked = look_at(picture(0))
    monkeypatch.setattr(attachments, "look_at", lambda content: looked)
    monkeypatch.setattr(left_over, "OLD_SECONDS", -1)


class Shop:
    """Two people, a list of each, and one scan."""

    def __init__(self, author: User, approver: User, number: int) -> None:
        self.content, self.people = picture(number), (author, approver)
        about = {"filename": "tests.csv", "units": "us", "heads": [], "rows": [], "columns": []}
        self.lists = [
            ListImport.objects.create(target="welder_tests", by=each, **about) for each in self.people
        ]

    def bring(self, which: int) -> None:
        scan = SimpleUploadedFile("WT-011.png", self.content)
        keep_scans(self.lists[which], [scan], [attachments.look_at(self.content)])

    def cancel(self, which: int) -> None:
        drop_lists(ListImport.objects.filter(pk=self.lists[which].pk))

    def leave_out(self, which: int) -> None:
        let_go(ListScan.objects.filter(listed=self.lists[which]))

    def take_in(self, which: int) -> None:
        """What an import does with its scans."""
        scans = ListScan.objects.filter(listed=self.lists[which])
        with transaction.atomic():
            placed = [Placed(each, ["WT-011"], True) for each in scans]
            attach_scans(self.lists[which], placed, self.people[which])
            self.cancel(which)

    def attach(self, which: int) -> None:
        about = {"kind": AttachmentKind.SCAN, "title": "Scan", "record_kind": "welder-test"}
        keep_attachment(self.content, "WT.png", self.people[which], record_number="WT-011", **about)

    def leave_over(self) -> None:
        with transaction.atomic():
            vault.store(self.content, ".png")


def both_brought(shop: Shop) -> None:
    shop.bring(0)
    shop.bring(1)


Step = Callable[[Shop], object]
CASES: dict[str, tuple[Step, Step, Step]] = {
    # What stands already, and two acts at once.
    "canceled, brought": (lambda s: s.bring(0), lambda s: s.cancel(0), lambda s: s.bring(1)),
    "canceled, imported": (both_brought, lambda s: s.cancel(0), lambda s: s.take_in(1)),
    "both canceled": (both_brought, lambda s: s.cancel(0), lambda s: s.cancel(1)),
    "one list canceled and imported": (
        lambda s: s.bring(0),
        lambda s: s.cancel(0),
        lambda s: s.take_in(0),
    ),
    "left out, attached": (lambda s: s.bring(0), lambda s: s.leave_out(0), lambda s: s.attach(1)),
    "cleared, brought": (Shop.leave_over, lambda s: clear_left_over("Hedda Berg"), lambda s: s.bring(1)),
    "cleared, attached": (Shop.leave_over, lambda s: clear_left_over("Hedda Berg"), lambda s: s.attach(1)),
}


@pytest.mark.parametrize("turn", [1, -1], ids=["first", "second"])
@pytest.mark.parametrize("name", CASES)
def test_no_interleaving_takes_a_file_that_is_named_or_leaves_one_that_is_not(
    name: str, turn: int, author: User, approver: User, caplog: pytest.LogCaptureFixture
) -> None:
    stands, *acts = CASES[name]
    halted, other = acts[::turn]
    line, goes_on = 0, True
    while goes_on:
        line += 1
        shop = Shop(author, approver, line)
        stands(shop)
        goes_on = interleaved(lambda: halted(shop), lambda: other(shop), line)  # noqa: B023  run at once
        sha256, there = vault.digest(shop.content), {path.stem for path in vault_files()}
        assert there >= named_files(), f"line {line}: a record names a file that is gone"
        told = AuditEntry.objects.filter(data__sha256=sha256).exists()
        assert (sha256 in there) == (told or sha256 in named_files()), f"line {line}: a file is left over"
        Attachment.objects.all().delete()
        ListImport.objects.all().delete()
        for path in vault_files():
            path.unlink()
    assert line > 10
    assert [each.getMessage() for each in caplog.records if each.levelname == "ERROR"] == []


def test_a_list_that_is_not_imported_takes_its_scans_along(author_client: Client, author: User) -> None:
    """By the pages: canceled, left out, replaced by one of the same name, and when another list comes."""
    Welder.objects.create(name="Anouk Berglund", stamp="AB")
    rows = "Number;Welder;Date\nWT-011;AB;2024-04-27\n"

    def send(*numbers: int) -> ListImport:
        scans = [SimpleUploadedFile(f"WT-011 {each}.png", picture(each)) for each in numbers]
        sent = {"target": "welder_tests", "units": "us", "edition": "asme_ix_2023", "pasted": rows}
        author_client.post("/import/", {**sent, "scans": scans})
        return ListImport.objects.get()

    def kept() -> set[str]:
        return {path.stem for path in vault_files()}

    def of(*numbers: int) -> set[str]:
        return {vault.digest(picture(each)) for each in numbers}

    made = send(1, 2)
    assert kept() == of(1, 2)
    made = send(2, 3)
    assert kept() == of(2, 3)
    address = made.get_absolute_url()
    author_client.post(address, {"leave_out": made.scans.get(filename="WT-011 3.png").pk})
    assert kept() == of(2)
    again = SimpleUploadedFile("WT-011 2.png", picture(4))
    author_client.post(address, {"do": "scans", "scans": [again]})
    assert kept() == of(4)
    author_client.post(address, {"do": "drop"})
    assert kept() == set()
    assert not WelderTest.objects.exists()


def test_an_import_whose_scan_is_gone_is_refused(author_client: Client) -> None:
    Welder.objects.create(name="Anouk Berglund", stamp="AB")
    rows = "Number;Welder;Date\nWT-011;AB;2024-04-27\n"
    sent = {"target": "welder_tests", "units": "us", "edition": "asme_ix_2023", "pasted": rows}
    author_client.post("/import/", {**sent, "scans": [SimpleUploadedFile("WT-011.png", picture(1))]})
    (path,) = vault_files()
    path.unlink()
    made = ListImport.objects.get()
    token = importing.Look(made, timezone.localdate()).token
    answer = author_client.post(made.get_absolute_url(), {"do": "import", "token": token})
    assertContains(answer, importing.SCAN_GONE, status_code=422)
    assert not WelderTest.objects.exists()


def test_nothing_goes_into_the_vault_outside_a_transaction() -> None:
    with pytest.raises(RuntimeError, match="transaction"):
        vault.store(picture(1), ".png")
    assert vault_files() == []


def test_nothing_is_taken_out_while_the_vault_is_copied(
    author: User, approver: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A backup has the rows of its moment, so it needs the files of that moment."""
    monkeypatch.setattr(left_over, "TRIES", 2)
    shop = Shop(author, approver, 1)
    shop.bring(0)
    with vault.copying():
        shop.cancel(0)
        assert len(vault_files()) == 1
        with pytest.raises(CommandError, match="try again"):
            call_command("left_over", remove=True)
    call_command("left_over", remove=True)
    assert vault_files() == []

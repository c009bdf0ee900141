"""The page of the audit trail: filters, review, and the file that is checked without the program."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine
from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from qualification.models.audit import AuditEntry
from qualification.records.audit import append
from wps.outside.trail_review import CannotReview, review_until

pytestmark = pytest.mark.django_db
OUTSIDE = re.search(
    r"```python\n(.*?)```", (Path(settings.BASE_DIR) / "wps/signing/README.md").read_text(), re.S
)


def text(answer: HttpResponse) -> str:
    return answer.content.decode()


@pytest.fixture
def entries() -> None:
    for day, who, kind, name in (
        (1, "Maren Oosting", "job", "J-1 Übergang"),
        (2, "Tobias Quell", "lot", "L-9"),
    ):
        with time_machine.travel(datetime(2026, 3, day, 12, tzinfo=UTC), tick=False):
            append("create", kind, day, name, who, {"detail": f"“note” {day}"})


def rows(answer: HttpResponse) -> set[str]:
    return {name for name in ("J-1", "L-9") if f">{name}" in text(answer)}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ("", {"J-1", "L-9"}),
        ("?q=&who=Maren+Oosting", {"J-1"}),
        ("?q=&kind=lot", {"L-9"}),
        ("?q=l-9", {"L-9"}),
        ("?q=&verb=sign", set()),
        ("?q=&since=2026-03-01&until=2026-03-01", {"J-1"}),
        ("?q=&since=2026-03-02", {"L-9"}),
        ("?q=&until=2026-02-28", set()),
    ],
)
def test_it_is_looked_through(approver_client: Client, entries: None, asked: str, expected: set[str]) -> None:
    assert rows(approver_client.get(f"/shop/trail/{asked}")) == expected


def test_a_day_that_is_none_is_named_and_kept(approver_client: Client, entries: None) -> None:
    for typed in ("soon", "2026-02-30", "9999-12-31"):
        answer = approver_client.get("/shop/trail/", {"q": "", "until": typed})
        assert answer.status_code == 422
        assert f"“{typed}” is not a day" in text(answer)
        assert f'value="{typed}"' in answer.content.decode()


def test_a_review_stands_in_the_trail_and_what_came_after_is_shown(
    approver_client: Client, entries: None, approver: User
) -> None:
    newest = AuditEntry.objects.latest("number").number
    approver_client.post("/shop/trail/reviewed/", {"number": newest, "note": "March"})
    kept = AuditEntry.objects.latest("number")
    assert (kept.verb, kept.record_id, kept.data["detail"]) == ("review_trail", newest, "March")
    assert kept.data["end"] == AuditEntry.objects.get(number=newest).hash
    page = text(approver_client.get("/shop/trail/?q=&new=1"))
    assert f"Reviewed to entry {newest} by Tobias Quell" in page
    assert rows(approver_client.get("/shop/trail/?q=&new=1")) == set()
    for refused in (newest, newest - 1, newest + 100):
        with pytest.raises(CannotReview):
            review_until(refused, "", approver)
    count = AuditEntry.objects.count()
    approver_client.post("/shop/trail/reviewed/", {"number": "²"})
    assert AuditEntry.objects.count() == count


def test_it_takes_an_approver(author_client: Client) -> None:
    for path in ("/shop/trail/", "/shop/trail/file.json"):
        assert author_client.get(path).status_code == 403
    assert author_client.post("/shop/trail/reviewed/", {"number": 1}).status_code == 403


def outside(*arguments: Path) -> subprocess.CompletedProcess[str]:
    assert OUTSIDE is not None
    command = [sys.executable, "-I", "-c", OUTSIDE[1], *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_the_file_is_checked_without_the_program(
    approver_client: Client, entries: None, tmp_path: Path
) -> None:
    """By the lines printed in wps/signing/README.md, with Python alone."""
    file, key = tmp_path / "trail.json", Path(settings.AUDIT_KEY_FILE)
    file.write_bytes(b"".join(approver_client.get("/shop/trail/file.json").streaming_content))
    end = AuditEntry.objects.latest("number").hash
    for arguments in ((file,), (file, key)):
        said = outside(*arguments)
        assert (said.returncode, end in said.stdout) == (0, True), said.stderr
    whole = json.loads(file.read_text("utf-8"))
    changed = json.loads(file.read_text("utf-8"))
    changed["entries"][0]["actor"] = "Somebody Else"
    file.write_text(json.dumps(changed), "utf-8")
    assert outside(file, key).returncode == 1
    del whole["entries"][0]
    file.write_text(json.dumps(whole), "utf-8")
    assert outside(file).returncode == 1
    heads = approver_client.get("/shop/trail/file.csv").content.decode("utf-8-sig").splitlines()[0]
    assert heads == "number,at,actor,verb,kind,id,name,data,previous,key,hash"
    assert approver_client.get("/shop/trail/file.pdf").status_code == 404

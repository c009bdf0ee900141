"""The benchmark prints a ratio for each goal and leaves nothing behind. How fast this machine is, is not
tested here."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from tests.documents.papers import approved_spec, approved_test, small_html
from wps.management.commands import bench_documents
from wps.models import IssuedDocument, Packet


@pytest.mark.usefixtures("shop", "small_documents")
def test_each_goal_gets_its_number(
    author: User, approver: User, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bench_documents, "TURNS", 1)
    monkeypatch.setattr(bench_documents, "render_html", small_html)
    approved_spec(author, approver, approved_test(author, approver))
    call_command("bench_documents", documents=3, rendered=1)
    printed = capsys.readouterr().out
    assert re.findall(r"\(goal: ([\d.]+) or less", printed) == ["1.3", "0.05", "300.0"]
    assert re.search(r"Packet of 3 documents, [45] pages, signed, against rendering them again", printed)
    assert not Packet.objects.exists()
    assert not IssuedDocument.objects.exclude(sha256="").exists()


@pytest.mark.django_db
def test_it_says_what_it_needs() -> None:
    with pytest.raises(CommandError, match="Load the demo shop first"):
        call_command("bench_documents")

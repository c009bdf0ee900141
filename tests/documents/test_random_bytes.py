"""Bytes changed anywhere in an issued file: no such file holds, and no change is a fault of the check.

`FORGED_BYTES=600 .venv/bin/python -m pytest tests/documents/test_random_bytes.py` tries as many as one likes.
"""

from __future__ import annotations

import os
import random

import pytest
from django.contrib.auth.models import User

from tests.documents.packet_records import issue, packet_for
from tests.documents.papers import approved_spec, approved_test, bytes_of, signed
from wps.documents.checking import check_file
from wps.documents.reliance import rely_on
from wps.pdf.unreadable import NotReadable

pytestmark = pytest.mark.usefixtures("shop", "small_documents")

TRIES = int(os.environ.get("FORGED_BYTES", "24"))
SEED = 319102


def test_no_file_with_a_changed_byte_holds(author: User, approver: User) -> None:
    test = approved_test(author, approver)
    spec = approved_spec(author, approver, test)
    files = [bytes_of(signed(each, author, approver)) for each in (test, spec)]
    files.append(issue(packet_for(author, procedures=[spec.pk], welders=[test.welder_id]), author, approver))
    assert all(check_file(each, "whole.pdf").holds for each in files)
    chance, holding = random.Random(SEED), []
    for number in range(TRIES):
        pdf = bytearray(files[number % 3])
        at, bits = chance.randrange(len(pdf)), chance.randrange(1, 256)
        pdf[at] ^= bits
        try:
            report = check_file(bytes(pdf), "changed.pdf")
        except NotReadable:
            continue
        if report.holds or rely_on(report).answer == "yes" or not report.reasons:
            holding.append((number % 3, at, bits))
    assert holding == []

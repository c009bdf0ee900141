"""Names of files that the browser saves: a shop's own number leads out of no folder and adds no header.

Source: RFC 6266, 4.3: a recipient must not take path separators of a file name for a path; what systems do
not take in a name is from memory."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.shop_records import job
from wps.views.downloads import name_of_file

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("welds-J-3107.xlsx", "welds-J-3107.xlsx"),
        ("welds-J/../../x.xlsx", "welds-J-..-..-x.xlsx"),
        ("C:\\jobs\\1.xlsx", "C-jobs-1.xlsx"),
        ('J"; filename="evil.exe', "J-; filename=-evil.exe"),
        ("J\r\nSet-Cookie: a=1.pdf", "J-Set-Cookie- a=1.pdf"),
        ("../../.profile", "-..-.profile"),
        ("Größe “9”.pdf", "Größe “9”.pdf"),
        (" .. ", "file"),
    ],
)
def test_a_name_of_a_file(text: str, name: str) -> None:
    assert name_of_file(text) == name


def test_the_list_of_a_job_whose_number_has_strokes(author_client: Client) -> None:
    made = job("J/../31\\07")
    answer = author_client.get(f"/jobs/{made.pk}/list/file/")
    assert answer["Content-Disposition"] == 'attachment; filename="welds-J-..-31-07.xlsx"'

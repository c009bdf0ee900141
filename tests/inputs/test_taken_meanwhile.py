"""A post done again because its number was taken meanwhile brings all it brought the first time."""

from __future__ import annotations

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from wps.taken_meanwhile import TakenMeanwhile


def test_each_of_several_files_under_one_name_is_read_again_from_its_start(rf: RequestFactory) -> None:
    read: list[list[bytes]] = []

    def keep(request: HttpRequest) -> HttpResponse:
        read.append([file.read() for file in request.FILES.getlist("scans")])
        if len(read) == 1:
            raise IntegrityError("UNIQUE constraint failed: qualification_welder.stamp")
        return HttpResponse("kept")

    papers = [SimpleUploadedFile(f"{n}.pdf", f"paper {n}".encode()) for n in range(3)]
    answer = TakenMeanwhile(keep).process_view(rf.post("/", {"scans": papers}), keep, (), {})
    assert answer is not None
    assert answer.content == b"kept"
    assert read == [[b"paper 0", b"paper 1", b"paper 2"]] * 2

"""One search over everything the shop keeps."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.posted import sought_in
from qualification.roles import reader_required
from wps.find.search import MOST, find


@reader_required
def find_page(request: HttpRequest) -> HttpResponse:
    """What holds every word of the search, by kind; close spellings apart."""
    sought, kind = sought_in(request), sought_in(request, "kind")
    whole = find(sought)
    found = find(sought, kind) if kind else whole
    return render(
        request,
        "wps/find.html",
        {"sought": sought, "kind": kind, "found": found, "whole": whole, "most": MOST},
    )

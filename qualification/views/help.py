"""The help: its list and search, a page per subject, and the glossary."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.help.subjects import find, subjects, terms
from qualification.posted import sought_in
from qualification.roles import reader_required


@reader_required
def help_list(request: HttpRequest) -> HttpResponse:
    """Every subject, or what holds the words sought."""
    sought = sought_in(request)
    pages, found = find(sought) if sought else (subjects(), ())
    return render(request, "qualification/help.html", {"subjects": pages, "terms": found, "sought": sought})


@reader_required
def help_subject(request: HttpRequest, key: str) -> HttpResponse:
    """One subject, with the help of each of its fields."""
    found = next((each for each in subjects() if each.key == key), None)
    if found is None:
        raise Http404
    own = [term for term in terms() if term.subject == key]
    return render(request, "qualification/help_subject.html", {"subject": found, "terms": own})


@reader_required
def glossary(request: HttpRequest) -> HttpResponse:
    """The terms of the trade, by name."""
    return render(request, "qualification/glossary.html", {"terms": terms()})

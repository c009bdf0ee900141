"""The home page: what needs someone's attention now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.roles import reader_required
from wps.attention import sections_for


@reader_required
def today(request: HttpRequest) -> HttpResponse:
    """Show each section of matters that wait, first those that have any."""
    sections = sections_for(request.user)
    quiet = [section for section in sections if not section.matters and section.when_none]
    return render(request, "wps/today.html", {"sections": sections, "quiet": quiet})

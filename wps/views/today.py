"""The home page: what needs someone's attention now."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.roles import may_author, reader_required
from wps.today.attention import sections_for
from wps.today.steps import next_steps


@reader_required
def today(request: HttpRequest) -> HttpResponse:
    """Show the next three steps, then each section of matters that wait; what is in order stands last."""
    sections = sections_for(request.user)
    quiet = [section for section in sections if not section.matters and section.when_none]
    context = {
        "sections": sections,
        "quiet": quiet,
        "steps": next_steps(sections),
        "whole": sum(section.count for section in sections),
        "may_author": may_author(request.user),
    }
    return render(request, "wps/today.html", context)

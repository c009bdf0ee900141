"""The audit trail as a whole: looked through, taken out, and marked as reviewed."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from qualification.posted import number_in
from qualification.records.history import VERBS, event_of
from qualification.roles import approver_required
from qualification.views.lists import Asked
from wps.outside.trail_file import A_BATCH, as_json, as_table
from wps.outside.trail_review import CannotReview, choices, found_in_trail, last_review, review_until
from wps.views.downloads import file_response

FILTERS = ("who", "kind", "verb", "since", "until", "new")
LONGEST_NOTE = 200


@approver_required
def trail(request: HttpRequest) -> HttpResponse:
    """Every entry that is asked for, newest first, and how far the trail was reviewed."""
    asked, review, known = Asked(request, "trail", FILTERS), last_review(), choices()
    found, problems = found_in_trail({**asked.values, "q": asked.text})
    page = asked.page_of(found)
    newest = found.model.objects.order_by("-number").values_list("number", flat=True).first() or 0
    context = {
        **asked.context(page, ()),
        "entries": [(each, event_of(each)) for each in page],
        "asked": {**asked.values, "q": asked.text},
        "problems": problems,
        "people": known["people"],
        "kinds": known["kinds"],
        "verbs": [(verb, VERBS.get(verb, verb.replace("_", " "))) for verb in known["verbs"]],
        "review": review,
        "newest": newest,
        "open": newest - (review.record_id if review else 0),
        "longest_note": LONGEST_NOTE,
    }
    return render(request, "wps/trail.html", context, status=422 if problems else 200)


@approver_required
@require_POST
def trail_reviewed(request: HttpRequest) -> HttpResponse:
    """Record a review as far as the newest entry that the page showed."""
    try:
        number = number_in(request.POST.get("number", ""))
        if number is None:
            raise CannotReview("The number of the last entry is missing. Load the page again.")
        made = review_until(number, request.POST.get("note", "").strip()[:LONGEST_NOTE], request.user)
    except CannotReview as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"Recorded: {made.record_name} reviewed by {made.actor_name}.")
    return redirect("trail")


@approver_required
def trail_file(request: HttpRequest, form: str) -> HttpResponse | StreamingHttpResponse:
    """The entries that are asked for, in their order, as JSON or CSV."""
    asked = Asked(request, "file trail", FILTERS)
    found, _ = found_in_trail({**asked.values, "q": asked.text})
    entries = found.order_by("number").iterator(chunk_size=A_BATCH)
    if form == "csv":
        return file_response(
            as_table(entries), "audit-trail.csv", "text/csv; charset=utf-8", as_attachment=True
        )
    if form != "json":
        raise Http404
    answer = StreamingHttpResponse(as_json(entries), content_type="application/json")
    answer["Content-Disposition"] = 'attachment; filename="audit-trail.json"'
    return answer

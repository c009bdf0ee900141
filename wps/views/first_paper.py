"""The first paper: three ways from nothing to a printed procedure or an answer, and ready coupons to start
from."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from qualification.models import Shop
from qualification.roles import author_required, may_author, reader_required
from wps.procedures.starting_points import (
    COUPON,
    PROCEDURE,
    StartingPoint,
    found,
    offered,
    start_coupon,
    start_procedure,
)
from wps.procedures.starting_words import ready_coupon


@reader_required
def first_paper(request: HttpRequest) -> HttpResponse:
    """The three ways, and the starting points for the codes the shop works to."""
    code, starts, procedures = Shop.current().code_edition, offered(COUPON), offered(PROCEDURE)
    # What the shop qualifies to stands first; where no coupon is ready for that, all of them do.
    own = [each for each in starts if each.edition == code] or starts
    context = {
        "coupons": [ready_coupon(each) for each in own],
        "other_coupons": [ready_coupon(each) for each in starts if each not in own],
        "procedures": [each for each in procedures if each.edition == code],
        "other_procedures": [each for each in procedures if each.edition != code],
        "may_author": may_author(request.user),
    }
    return render(request, "wps/first_paper.html", context)


@author_required
@require_POST
def coupon_from_start(request: HttpRequest, edition: str, key: str) -> HttpResponse:
    """A draft of a procedure test with the set-up of a ready coupon."""
    start = _start(COUPON, key, edition)
    made = start_coupon(start, request.user)
    messages.success(
        request,
        f"{made} is started with the set-up of a ready coupon, a starting point. Change what is different on"
        " yours, and enter what you read while it was welded.",
    )
    return redirect("procedure_test_edit", made.pk)


@author_required
@require_POST
def procedure_from_start(request: HttpRequest, edition: str, key: str) -> HttpResponse:
    """A draft of a procedure that needs no test."""
    start = _start(PROCEDURE, key, edition)
    made = start_procedure(start, request.user)
    messages.success(
        request,
        f"{made} is started with common settings, a starting point. Make each number your own before you"
        " approve it.",
    )
    return redirect("procedure_edit", made.pk)


def _start(kind: str, key: str, edition: str) -> StartingPoint:
    start = found(kind, key, edition)
    if start is None:
        raise Http404
    return start

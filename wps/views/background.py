"""What goes on in the background: one task, drawn again while it runs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from qualification.roles import reader_required
from wps import background
from wps.models import BackgroundTask, TaskState


@reader_required
def background_task(request: HttpRequest, pk: int) -> HttpResponse:
    """The task's page; asked for by the page itself, only the part that changes."""
    task = get_object_or_404(BackgroundTask, pk=pk)
    is_over = task.state in (TaskState.DONE, TaskState.FAILED)
    is_fragment = request.headers.get("HX-Request") == "true"
    response = render(
        request, "wps/_task.html" if is_fragment else "wps/task.html", {"task": task, "is_over": is_over}
    )
    if is_fragment and task.state == TaskState.DONE:
        response["HX-Redirect"] = task.back_url
    return response


@reader_required
@require_POST
def background_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a failed task back in line."""
    task = get_object_or_404(BackgroundTask, pk=pk)
    background.try_again(task)
    return redirect(task)

"""What goes on in the background: one task, drawn again while it runs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from qualification.roles import reader_required
from wps.background import tasks
from wps.documents.issuing import TASK as ISSUE
from wps.models import BackgroundTask, IssuedDocument, TaskState
from wps.views.documents import OPEN


@reader_required
def background_task(request: HttpRequest, pk: int) -> HttpResponse:
    """The task's page; asked for by the page itself, only the part that changes."""
    task = get_object_or_404(BackgroundTask, pk=pk)
    is_over = task.state in (TaskState.DONE, TaskState.FAILED)
    is_fragment = request.headers.get("HX-Request") == "true"
    then = request.GET.get("then", "")
    response = render(
        request,
        "wps/_task.html" if is_fragment else "wps/task.html",
        {"task": task, "is_over": is_over, "then": then},
    )
    if is_fragment and task.state == TaskState.DONE:
        response["HX-Redirect"] = _after(task, then)
    return response


def _after(task: BackgroundTask, then: str) -> str:
    """Where the waiting page goes: to the PDF it was opened for, else to what the task was asked from."""
    if then == OPEN and task.kind == ISSUE:
        document = IssuedDocument.objects.filter(pk=task.subject_id).first()
        if document is not None:
            return reverse("document", args=[document.kind, document.record_id])
    return task.back_url


@reader_required
@require_POST
def background_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a failed task back in line."""
    return redirect(tasks.try_again(get_object_or_404(BackgroundTask, pk=pk)))

"""The backups the server makes by itself: what there is, and how they are made."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from qualification.forms.meanwhile import Opened
from qualification.posted import posted
from qualification.records.audit import append, name_of
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import administrator_required
from wps.background import tasks
from wps.backups import locked, schedule
from wps.forms.backups import BackupPlanForm
from wps.models import BackgroundTask, BackupPlan
from wps.upkeep import WHOLE_SHOP

KIND = "backups"
"""What the audit trail calls the plan of backups."""


@administrator_required
def backups(request: HttpRequest) -> HttpResponse:
    """Show the plan and the backups there are; save the plan."""
    plan = BackupPlan.current()
    opened, form = Opened(request, KIND, plan), BackupPlanForm(posted(request), instance=plan)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            before = stored_values(plan, lock=True)
            if not opened.clashes(before, form, lambda stored: BackupPlanForm(instance=stored)):
                _save(request, form, before)
                messages.success(request, "The plan of backups is saved.")
                return redirect("backups")
    context = {
        "form": form,
        "opened": opened,
        "is_wanted": schedule.is_wanted(),
        "is_locked": locked.has_key(),
        "folder": schedule.own_folder(),
        "present": [
            (
                path.name,
                path.stat().st_size,
                datetime.fromtimestamp(path.stat().st_mtime, timezone.get_current_timezone()),
            )
            for path in schedule.present()
        ],
        "task": BackgroundTask.objects.filter(kind=schedule.TASK).order_by("-asked_at").first(),
    }
    return render(request, "wps/backups.html", context, status=opened.status(form))


def _save(request: HttpRequest, form: BackupPlanForm, before: dict[str, object]) -> None:
    saved, data = form.save(), form.cleaned_data
    changes = changes_between(before, values_of(saved))
    said = list(changes)
    if data["passphrase"]:
        locked.make_key(data["passphrase"])
        said.append("passphrase")
    elif data.get("unlocked"):
        locked.drop_key()
        said.append("no passphrase")
    detail = {"detail": ", ".join(said).replace("_", " "), "changes": changes}
    append("change", KIND, saved.pk, str(saved), name_of(request.user), detail)


@administrator_required
@require_POST
def back_up_now(request: HttpRequest) -> HttpResponse:
    """Have one made in the background."""
    return redirect(
        tasks.queue(schedule.TASK, WHOLE_SHOP, "Back up the shop", reverse("backups"), request.user)
    )

"""Bringing a waveform file through the pages, and reading what they say of it."""

from __future__ import annotations

import re
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from qualification.models import Trial, TrialLog


def bring(client: Client, of: Trial, content: bytes, on_pass: bool = True) -> TrialLog:
    data = {
        "file": SimpleUploadedFile("scope.csv", content),
        "weld_pass": str(of.passes.get().pk) if on_pass else "",
    }
    answer = client.post(reverse("trial_log_add", args=[of.pk]), data)
    assert answer.status_code == 302, answer.content.decode()
    log = TrialLog.objects.latest("pk")
    assert answer.url == log.get_absolute_url()
    return log


def confirm(client: Client, log: TrialLog, **changes: str) -> HttpResponse:
    """Press the button on the page as it stands, with some fields changed."""
    form = client.get(log.get_absolute_url()).context["form"]
    data: dict[str, Any] = {name: value for name in form.fields if (value := form[name].value()) is not None}
    return client.post(reverse("trial_log_confirm", args=[log.trial_id, log.pk]), data | changes)


def text_of(answer: HttpResponse) -> str:
    html = answer.content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html[html.index("<main") :]))


def figure(log: TrialLog, key: str) -> float:
    assert log.analysis is not None
    return log.analysis["figures"][key]["value"]

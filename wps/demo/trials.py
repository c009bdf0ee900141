"""The demo shop's trials: the way from a steady arc to the settings of its first procedure test."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile

from qualification.models import Trial, TrialPass, Welder
from qualification.records.audit import append, name_of
from qualification.trials.store import settings_of
from qualification.waveforms.logs import keep_upload, work_through


def load_trial(item: dict[str, Any], folder: Path, edition: str, author: User, today: date) -> None:
    """Create one trial with its passes and, where it has one, its waveform worked through."""
    source = Trial.objects.get(number=item["from"]) if "from" in item else None
    joint = {**(source.joint if source else {}), **item.get("joint", {})}
    line = {**(settings_of(source.line) if source else {}), **item.get("line", {})}
    trial = Trial.objects.create(
        token=uuid5(NAMESPACE_URL, item["number"]),
        number=item["number"],
        title=item.get("title", source.title if source else ""),
        purpose=item.get("purpose", "coupon"),
        welded_on=today - timedelta(days=item["days_ago"]),
        welder=Welder.objects.get(stamp=item["welder"]),
        edition=edition,
        joint={key: entry for key, entry in joint.items() if entry},
        line={key: entry for key, entry in {**line, **item["result"]}.items() if entry},
        verdict=item["verdict"],
        note=item["note"],
        copied_from=source,
        author=author,
        author_name=name_of(author),
    )
    append("create", Trial.KIND, trial.pk, trial.number, name_of(author), {})
    append(item["verdict"], Trial.KIND, trial.pk, trial.number, name_of(author), {})
    for position, entries in enumerate(item["pass"], start=1):
        TrialPass.objects.create(
            trial=trial,
            token=uuid5(NAMESPACE_URL, f"{trial.number}/{position}"),
            position=position,
            entries=entries,
        )
    if "waveform" in item:
        _waveform(trial, folder / item["waveform"], item["waveform_pass"], author)


def _waveform(trial: Trial, path: Path, position: int, author: User) -> None:
    upload = SimpleUploadedFile(path.name, path.read_bytes(), "text/csv")
    log = keep_upload(trial, upload, trial.passes.get(position=position), author)
    work_through(log.pk)

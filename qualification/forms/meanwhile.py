"""A page for something that is no draft (job, welder, shop, packet, person), open in two places: the later to
save is told what the other one saved, and nothing typed is lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import models
from django.http import HttpRequest
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.models.record import content_hash
from qualification.records.differences import Difference
from qualification.records.drafts import Saved
from qualification.records.value_changes import stored_values

FIELD = "version"
"""Hidden field with the version a page was opened with. A post without it comes from no page of ours and
replaces what is stored."""


def version_of_values(values: Mapping[str, Any]) -> str:
    """A token for what is stored now; empty before anything is."""
    return content_hash(dict(values)) if values else ""


@dataclass(frozen=True)
class Meanwhile:
    """Who saved it while it was open here, and what differs."""

    saved: Saved
    clash: list[Difference]
    what: str


class Opened:
    """Something stored, open on a page: the version it was opened with, and who saved it since."""

    def __init__(
        self,
        request: HttpRequest,
        kind: str,
        thing: models.Model,
        read: Callable[..., dict[str, Any]] = stored_values,
    ) -> None:
        """`kind` as the audit trail calls it; `read` gives its plain values as stored."""
        self.kind, self.thing, self.read = kind, thing, read
        self.sent = request.POST.get(FIELD)
        self.version = version_of_values(read(thing)) if self.sent is None else self.sent
        self.meanwhile: Meanwhile | None = None

    def clashes(
        self, before: Mapping[str, Any], typed: forms.BaseForm, draw: Callable[[Any], forms.BaseForm]
    ) -> bool:
        """Whether somebody saved it since. `before`: its values, read in the transaction that will save;
        `draw`: the page's form, unbound, for what is stored."""
        if self.sent is None or self.sent == version_of_values(before):
            return False
        stored = type(self.thing)._default_manager.filter(pk=self.thing.pk).first()
        self.version = version_of_values(before)
        differences = _differences(typed, draw(stored)) if stored else []
        what = f"this {self.kind}"
        self.meanwhile = Meanwhile(last_saved(self.kind, self.thing.pk), differences, what)
        return True

    def status(self, form: forms.BaseForm) -> int:
        """Of the page: 409 for a clash, 422 for entries that cannot be read."""
        return 409 if self.meanwhile else 422 if form.errors else 200


def last_saved(kind: str, pk: int | None) -> Saved:
    """Who touched it last, from the audit trail, which knows it as `kind`."""
    entry = AuditEntry.objects.filter(record_kind=kind, record_id=pk).order_by("-pk").first()
    return Saved(entry.actor_name, entry.at) if entry else Saved("Somebody", timezone.now())


def _differences(typed: forms.BaseForm, as_stored: forms.BaseForm) -> list[Difference]:
    found = []
    for name, field in typed.fields.items():
        if name not in as_stored.fields or isinstance(field.widget, forms.PasswordInput):
            continue
        before = as_stored[name].initial
        if field.has_changed(before, typed[name].data):
            after = typed.cleaned_data.get(name, "")
            found.append(
                Difference("", str(field.label or name), _shown(field, before), _shown(field, after))
            )
    return found


def _shown(field: forms.Field, value: Any) -> str:
    if isinstance(field, forms.BooleanField):
        return "Yes" if value else "No"
    if isinstance(field, forms.FileField):
        return str(getattr(value, "name", "") or "")
    labels = {str(key): str(label) for key, label in getattr(field, "choices", ())}
    values = value if isinstance(value, list | tuple) else [value]
    return "; ".join(labels.get(str(each), "" if each is None else str(each)) for each in values)

"""A weld of a job, or a detail that welds share, on the desk. It is no draft: its content is its version."""

from __future__ import annotations

from typing import Any

from django.db import models

from qualification.forms.desk import Desk
from qualification.forms.meanwhile import last_saved, version_of_values
from qualification.records.drafts import SavedMeanwhile
from qualification.rules.variables.definition import RecordKind


class WeldDesk(Desk):
    """What a job describes by entries, being written."""

    use = RecordKind.PART
    kind: str
    """As the audit trail calls it."""

    @property
    def edition(self) -> str:
        return str(self.record.job.edition)

    def version_of(self, record: models.Model) -> str:
        return version_of_values(self.content_of(record)) if record.pk else ""

    def content_of(self, record: models.Model) -> dict[str, Any]:
        names = (*self.form._meta.fields, "joint", "lines")
        return {name: getattr(record, name) for name in names}

    def locked(self) -> Any:
        """What is stored now, kept from others until the transaction ends; `None` for what is new. Raises
        SavedMeanwhile."""
        if self.is_new:
            return None
        kept = type(self.record)._default_manager.select_for_update(no_key=True)
        stored = kept.get(pk=self.record.pk)
        if self.version_of(stored) != self.version:
            raise SavedMeanwhile(stored, last_saved(self.kind, stored.pk))
        return stored

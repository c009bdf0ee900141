"""A detail of a job on the desk; saving it changes every weld that follows it."""

from __future__ import annotations

from qualification.roles import Person
from wps.forms.weld_desk import WeldDesk
from wps.forms.weld_list import DetailForm
from wps.jobs.details import store_detail
from wps.models import Detail, Part


class DetailDesk(WeldDesk):
    """One detail being written."""

    form, kind, what = DetailForm, Detail.KIND, "this detail"
    followed_by: list[Part]
    """The welds that the save changed."""

    def store(self, person: Person) -> None:
        self.locked()
        self.followed_by = store_detail(self.record, person)

    @property
    def said(self) -> list[str]:
        count = len(self.followed_by)
        follow = [f"{count} weld{'s follow' if count != 1 else ' follows'} it."] if count else []
        return [f"Detail {self.record.number} is saved.", *follow, *self.waiting]

    def after(self, do: str) -> str:
        return str(self.record.get_absolute_url())

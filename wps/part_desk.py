"""A weld of a job on the desk: as stored or as typed, and what procedures and welders make of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db import transaction
from django.http import QueryDict

from qualification.audit import append, name_of
from qualification.differences import Difference, differences
from qualification.drafts import Saved
from qualification.forms.record_forms import BUTTON, RecordForms
from qualification.history import history_about
from qualification.models import UnitSystem, Welder
from qualification.models.record import content_hash
from qualification.roles import Person
from qualification.rules.house import HouseLimit
from qualification.rules.variables import Use
from qualification.who_may_weld import Answer, Tally, WelderFile, answers, tally, welder_files
from wps.fitting import Fit, Shelf, read_part, weld_of
from wps.forms.job import PartForm
from wps.models import Part

KIND = "part"
HEADS = {"mark": "Weld mark", "title": "Title", "units": "Units", "spec_number": "Chosen WPS"}


def content_of(part: Part) -> dict[str, Any]:
    """What a part says, as plain values."""
    return {**{name: getattr(part, name) for name in HEADS}, "joint": part.joint, "lines": part.lines}


def version_of(part: Part) -> str:
    """A token for what is stored now."""
    return content_hash(content_of(part)) if part.pk else ""


@dataclass(frozen=True)
class Conflict:
    """Somebody saved the part while it was open here."""

    stored: Part
    saved: Saved


class PartDesk:
    """One part being written."""

    def __init__(self, part: Part, data: QueryDict | None = None) -> None:
        self.part, self.data = part, data
        self.drawn_with = version_of(part)
        arranges = data is not None and BUTTON in data
        typed = {name: data.get(name) for name in HEADS if name in data} if data is not None else {}
        self.head = PartForm(initial=typed, instance=part) if arranges else PartForm(data, instance=part)
        self.units = typed["units"] if typed.get("units") in UnitSystem.values else part.units
        self.spec_number = typed.get("spec_number", part.spec_number) or ""
        self.head_is_readable = self.head.is_bound and self.head.is_valid()
        self.forms = RecordForms(Use.PART, self.units, part.job.edition, part.joint, part.lines, data)
        self.conflict: Conflict | None = None
        self.clash: list[Difference] = []

    @property
    def version(self) -> str:
        if self.conflict is not None:
            return version_of(self.conflict.stored)
        return self.data.get("version", "") if self.data is not None else self.drawn_with

    @cached_property
    def view(self) -> PartView:
        """What procedures and welders make of the weld as it stands on the page."""
        weld = weld_of(self.forms.joint_entries, self.forms.line_entries, self.units)
        return PartView(weld, self.units, self.spec_number, Shelf.for_job(self.part.job))

    def save(self, person: Person) -> bool:
        """Store the part; false when its head cannot be read or somebody saved meanwhile."""
        if not self.head_is_readable:
            return False
        part, is_new = self.head.save(commit=False), self.part.pk is None
        part.joint, part.lines = self.forms.joint_entries, self.forms.line_entries
        with transaction.atomic():
            stored = None if is_new else Part.objects.select_for_update(no_key=True).get(pk=part.pk)
            if stored is not None and version_of(stored) != self.version:
                self.conflict = Conflict(stored, _last_saved(stored))
                self.clash = differences(content_of(stored), content_of(part), Use.PART, HEADS)
                return False
            changed = (
                [] if stored is None else differences(content_of(stored), content_of(part), Use.PART, HEADS)
            )
            part.save()
            detail = ", ".join(dict.fromkeys(each.label.lower() for each in changed))
            append(
                "create" if is_new else "change",
                KIND,
                part.pk,
                str(part),
                name_of(person),
                {"detail": detail},
            )
        return True


def _last_saved(part: Part) -> Saved:
    """Who touched the part last, from the audit trail."""
    event = next(iter(history_about(KIND, part.pk)), None)
    assert event is not None, "a part is never saved without its audit entry"
    return Saved(event.who, event.at)


class PartView:
    """One weld against the procedures on the shelf and the welders of a day."""

    def __init__(self, weld: Any, units: str, spec_number: str, shelf: Shelf) -> None:
        self.drawn, self.units, self.spec_number, self.shelf = weld, units, spec_number, shelf

    @classmethod
    def of(cls, part: Part, shelf: Shelf) -> PartView:
        return cls(read_part(part), part.units, part.spec_number, shelf)

    @cached_property
    def fits(self) -> list[Fit]:
        """Every approved procedure with its answer, best first."""
        return self.shelf.fits(self.drawn, self.units)

    @cached_property
    def chosen(self) -> Fit | None:
        """The chosen procedure's answer; `None` when none is chosen or it has no approved revision."""
        if "fits" in self.__dict__:
            return next((fit for fit in self.fits if fit.spec.number == self.spec_number), None)
        spec = self.shelf.chosen(self.spec_number)
        return None if spec is None else self.shelf.fit(self.drawn, spec, self.units)

    @property
    def chosen_is_gone(self) -> bool:
        return bool(self.spec_number) and self.chosen is None

    @cached_property
    def weld(self) -> Any:
        """The weld as it will be made: by the chosen procedure, else as far as it is drawn."""
        return self.chosen.weld if self.chosen is not None else self.drawn

    @cached_property
    def house(self) -> list[HouseLimit]:
        """Limits laid over the code that the weld, as it will be made, has to keep."""
        return self.shelf.house(self.chosen.spec if self.chosen is not None else None)

    def answers(self, files: list[WelderFile]) -> list[Answer]:
        return answers(self.weld, files, self.shelf.for_welders, self.house)

    def tally(self, files: list[WelderFile]) -> Tally:
        return tally(self.weld, files, self.shelf.edition, self.house)


def active_files(day: date, shelf: Shelf) -> list[WelderFile]:
    """The files of all active welders."""
    return welder_files(Welder.objects.filter(active=True), day, shelf.for_welders)

"""A weld of a job on the desk: as stored or as typed, and what procedures and welders make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db import transaction
from django.http import QueryDict

from qualification.evidence.kept import AnswerCache
from qualification.forms.check_links import linked_checks
from qualification.forms.record_forms import BUTTON, RecordForms
from qualification.models import UnitSystem, Welder
from qualification.models.record import content_hash
from qualification.records.audit import append, name_of
from qualification.records.differences import Difference, differences
from qualification.records.drafts import Saved
from qualification.records.history import history_about
from qualification.records.value_changes import changes_between, values_of
from qualification.roles import Person
from qualification.rules.core.findings import Verdict
from qualification.rules.ranges.house import HouseLimit
from qualification.rules.variables.definition import RecordKind
from qualification.welders.ranking import Ranking, Tally, ranking, tallies
from qualification.welders.who_may_weld import Roster, WelderAnswer, answers, roster
from wps.forms.job import PartForm
from wps.models import Part, Spec
from wps.procedures.offers import offers, verdicts_at_once
from wps.procedures.procedure_match import ApprovedProcedures, ProcedureMatch, read_part, weld_of

KIND = "part"
HEADS = {
    "mark": "Weld mark",
    "title": "Title",
    "units": "Units",
    "spec_number": "Chosen WPS",
    "drawing": "Drawing",
    "drawing_revision": "Drawing revision",
    "length": "Length of weld",
    "quantity": "Quantity",
    "inspection_class": "Inspection class",
    "access": "Access",
}


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
        self.forms = RecordForms(RecordKind.PART, self.units, part.job.edition, part.joint, part.lines, data)
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
        return PartView(weld, self.units, self.spec_number, ApprovedProcedures.for_job(self.part.job))

    @cached_property
    def checks(self) -> list[dict[str, Any]]:
        """Entries to check by common sense, each with its field."""
        return linked_checks(self.forms)

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
                self.clash = differences(content_of(stored), content_of(part), RecordKind.PART, HEADS)
                return False
            changed = (
                []
                if stored is None
                else differences(content_of(stored), content_of(part), RecordKind.PART, HEADS)
            )
            before = values_of(stored) if stored is not None else {}
            part.save()
            detail = ", ".join(dict.fromkeys(each.label.lower() for each in changed))
            append(
                "create" if is_new else "change",
                KIND,
                part.pk,
                str(part),
                name_of(person),
                {"detail": detail, "changes": changes_between(before, values_of(part))},
            )
        return True


def _last_saved(part: Part) -> Saved:
    """Who touched the part last, from the audit trail."""
    event = next(iter(history_about(KIND, part.pk)), None)
    assert event is not None, "a part is never saved without its audit entry"
    return Saved(event.who, event.at)


SHOWN, NOT_CUT = 3, 8
"""A long list shows its first few; one hardly longer than that is shown whole."""


def shown_of(count: int, every: bool) -> int:
    """How many of a list are shown at first."""
    return count if every or count <= NOT_CUT else SHOWN


class PartView:
    """One weld against the procedures on the shelf and the welders of a day."""

    def __init__(
        self,
        weld: Any,
        units: str,
        spec_number: str,
        shelf: ApprovedProcedures,
        every_procedure: bool = False,
    ) -> None:
        self.drawn, self.units, self.spec_number, self.shelf = weld, units, spec_number, shelf
        self.every_procedure = every_procedure

    @classmethod
    def of(cls, part: Part, shelf: ApprovedProcedures, every_procedure: bool = False) -> PartView:
        return cls(read_part(part), part.units, part.spec_number, shelf, every_procedure)

    @cached_property
    def ranked(self) -> list[tuple[Verdict, Spec]]:
        """Every approved procedure with its verdict, best first."""
        (row,) = verdicts_at_once(self.shelf, [(self.drawn, self.units)])
        found = zip((Verdict(v) for v in row.tolist()), self.shelf.specs, strict=True)
        return sorted(found, key=lambda pair: (pair[0], pair[1].number))

    @cached_property
    def fits(self) -> list[ProcedureMatch]:
        """The first of these with the reasons; of a short list all."""
        shown = self.ranked[: shown_of(len(self.ranked), self.every_procedure)]
        return [self._fit(spec) for _, spec in shown]

    @property
    def more_fits(self) -> int:
        """How many procedures are not shown."""
        return len(self.ranked) - len(self.fits)

    @property
    def is_carried(self) -> bool:
        """True where some procedure covers the weld."""
        return bool(self.ranked) and self.ranked[0][0] <= Verdict.COVERED

    def _fit(self, spec: Spec) -> ProcedureMatch:
        if self.chosen is not None and spec.pk == self.chosen.spec.pk:
            return self.chosen
        return self.shelf.fit(self.drawn, spec, self.units)

    @cached_property
    def chosen(self) -> ProcedureMatch | None:
        """The chosen procedure's answer; `None` when none is chosen or it has no approved revision."""
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
        """Limits beyond the code that the weld, as it will be made, has to keep."""
        return self.shelf.house(self.chosen.spec if self.chosen is not None else None)

    def answers(self, asked: Roster) -> list[WelderAnswer]:
        """Who of the roster may make the weld."""
        return self.asked_of(self.weld, asked)

    def asked_of(self, weld: Any, asked: Roster) -> list[WelderAnswer]:
        """As `answers`, of the weld as it would be made otherwise."""
        return answers(weld, asked, self.house, self.shelf.edition)

    def ranking(self, asked: Roster) -> Ranking:
        """As `answers`, the reasons of each only when they are asked for."""
        return ranking(self.weld, asked, self.house, self.shelf.edition)


def offers_all(views: Sequence[PartView]) -> list[int]:
    """For each weld of one job that has no procedure, how many procedures would cover it."""
    without = [view for view in views if view.chosen is None]
    found = iter(offers(views[0].shelf, [(view.drawn, view.units) for view in without]) if without else ())
    return [0 if view.chosen is not None else next(found) for view in views]


def tally_all(views: Sequence[PartView], asked: Roster) -> list[Tally]:
    """For each weld of one job, of how many welders of the roster the answer is which."""
    work = views[0].shelf.edition if views else asked.edition
    return tallies([(view.weld, view.house) for view in views], asked, work)


_rosters: AnswerCache[Roster] = AnswerCache(8)


def active_roster(day: date, shelf: ApprovedProcedures) -> Roster:
    """The files of all active welders, kept between requests while nothing changes."""
    edition = shelf.for_welders
    return _rosters.of(
        (edition.id, edition.fingerprint, day),
        lambda: roster(Welder.objects.filter(active=True), day, edition),
    )

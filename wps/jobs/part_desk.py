"""A weld of a job on the desk."""

from __future__ import annotations

from functools import cached_property

from django.urls import reverse

from qualification.records.audit import append, name_of
from qualification.records.value_changes import changes_between, values_of
from qualification.roles import Person
from wps.forms.job import PartForm
from wps.forms.weld_desk import WeldDesk
from wps.jobs.part_view import KIND, PartView
from wps.procedures.procedure_match import ApprovedProcedures, weld_of


class PartDesk(WeldDesk):
    """One part being written."""

    form, kind, what = PartForm, KIND, "this weld"
    check_template, verdict_template = "wps/_part_check.html", "wps/_part_verdict.html"

    @property
    def edit_url(self) -> str:
        return reverse("part_edit", args=[self.record.job_id, self.record.pk])

    @property
    def check_url(self) -> str:
        if self.is_new:
            return reverse("part_new_check", args=[self.record.job_id])
        return reverse("part_check", args=[self.record.job_id, self.record.pk])

    @property
    def spec_number(self) -> str:
        """The procedure chosen on the page."""
        stored = self.record.spec_number
        return self.data.get("spec_number", stored) if self.data is not None else stored

    @cached_property
    def view(self) -> PartView:
        """What procedures and welders make of the weld as it stands on the page."""
        weld = weld_of(self.forms.joint_entries, self.forms.line_entries, self.units)
        return PartView(weld, self.units, self.spec_number, ApprovedProcedures.for_job(self.record.job))

    def store(self, person: Person) -> None:
        part, stored = self.record, self.locked()
        before = {} if stored is None else values_of(stored)
        part.save()
        told = {
            "detail": ", ".join(self.changed) if before else "",
            "changes": changes_between(before, values_of(part)),
        }
        append("change" if before else "create", KIND, part.pk, str(part), name_of(person), told)

"""What rests on a test record, the procedures that name it, and what can be made of one."""

from __future__ import annotations

from django.db.models import Q
from django.urls import reverse

from qualification.links import Action, Link, Links
from qualification.models import CouponRecord, ProcedureTest
from wps.models import Job, Spec


def procedures_on(record: CouponRecord) -> Links | None:
    """Procedures a procedure test supports, newest revisions first."""
    if not isinstance(record, ProcedureTest):
        return None
    specs = record.specs.order_by("number", "-revision")
    links = tuple(
        Link(f"{spec} {spec.title}".strip(), spec.get_absolute_url(), spec.get_state_display())
        for spec in specs
    )
    return Links("Procedures that rest on it", "No procedure names it yet.", links)


def procedures_under(edition: str) -> Links:
    """Procedures written under an edition."""
    found = Spec.objects.filter(edition=edition).order_by("number", "-revision")
    return Links(
        "Procedures",
        "None.",
        tuple(Link(f"{s} {s.title}".strip(), s.get_absolute_url(), s.get_state_display()) for s in found),
    )


def jobs_under(edition: str) -> Links:
    """Jobs whose welds or welders are judged by an edition."""
    found = Job.objects.filter(Q(edition=edition) | Q(welder_edition=edition)).order_by("number")
    return Links("Jobs", "None.", tuple(Link(str(job), job.get_absolute_url()) for job in found))


def procedure_of(record: CouponRecord) -> Action | None:
    """A procedure draft that rests on a procedure test."""
    if not isinstance(record, ProcedureTest):
        return None
    return Action(
        "Start a procedure from it",
        reverse("procedure_from_test", args=[record.pk]),
        "A draft that claims what was welded, and the thicknesses the test carries.",
    )


def lapse_page() -> Link:
    """What of all welders ends, and what work it stops."""
    return Link("What ends in 30, 60 and 90 days", reverse("lapse_list"))

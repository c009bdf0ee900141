"""What broke among the welds of open jobs: procedures and welders assigned that no longer cover them."""

from __future__ import annotations

from datetime import date

from django.utils import timezone

from qualification.evidence.kept import AnswerCache
from qualification.roles import Person, may_read
from qualification.rules.tabular.schema import TableError
from wps.jobs.assignments import WHAT, Judge, broken
from wps.jobs.board import what_it_says
from wps.models import Job, Part
from wps.today.matters import Matter, Section

NAMED = 6
_found: AnswerCache[tuple[Matter, ...]] = AnswerCache(200)


def broken_assignments(person: Person) -> Section | None:
    """Assignments outside coverage today, unless they are kept with a reason for just that."""
    if not may_read(person):
        return None
    today = timezone.localdate()
    parts: dict[int, list[Part]] = {}
    assigned = Part.objects.filter(job__open=True).exclude(spec_number="", welder=None)
    for part in assigned.select_related("job", "welder").order_by("job__number", "mark"):
        parts.setdefault(part.job_id, []).append(part)
    matters = tuple(matter for pk, those in parts.items() for matter in _kept(pk, those, today))
    return Section(
        "Assigned, but not covered",
        "Every weld of an open job is covered by the procedure and the welder assigned to it.",
        matters,
    )


def _kept(job: int, parts: list[Part], today: date) -> tuple[Matter, ...]:
    says = tuple(
        (what_it_says(part), part.pk, part.mark, part.welder_id, str(part.despite)) for part in parts
    )
    return _found.of((job, today, says), lambda: _of_job(parts, today))


def _of_job(parts: list[Part], today: date) -> tuple[Matter, ...]:
    """One matter for all welds of a job of which the same is said."""
    job: Job = parts[0].job
    try:
        found = broken(Judge(job, today), parts)
    except TableError:
        return (Matter(f"Job {job}", job.get_absolute_url(), "The tables of its code are not installed."),)
    alike: dict[tuple[str, str, str], list[Part]] = {}
    for part, against in found:
        alike.setdefault((against.what, against.assigned, against.sentence), []).append(part)
    return tuple(
        Matter(
            f"Job {job.number}, {_marks(those)}: {WHAT[what]} {assigned}",
            those[0].get_absolute_url(),
            _sentence(those[0], what, sentence),
        )
        for (what, assigned, sentence), those in alike.items()
    )


def _sentence(part: Part, what: str, sentence: str) -> str:
    kept = part.despite.get(what)
    return f"{sentence} It was kept for another reason: {kept['reason']}" if kept else sentence


def _marks(parts: list[Part]) -> str:
    names = ", ".join(part.mark for part in parts[:NAMED])
    more = len(parts) - NAMED
    return f"weld{'s' if len(parts) > 1 else ''} {names}" + (f" and {more} more" if more > 0 else "")


SOURCES = (broken_assignments,)

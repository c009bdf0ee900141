"""What needs attention after an upgrade of the program: records it judges differently, old and new."""

from __future__ import annotations

from qualification.roles import Person, may_read
from wps.corrections.rejudging import RejudgedRecord, changes_of
from wps.corrections.upgrades import stopped_since
from wps.models import Rejudging
from wps.today.matters import Matter, Rank, Section

REMEDY = "Start a revision of it, put that right, and have it approved; or withdraw it."
MOST_NAMED = 3
"""Differences named beside a record; its report lists them all."""


def judged_by_upgrade(person: Person) -> Section | None:
    """Approved records that an upgrade judges differently, until an approver has seen the report."""
    if not may_read(person):
        return None
    reports = Rejudging.objects.filter(cause=Rejudging.Cause.UPGRADE, seen_at=None).order_by("saved_at")
    matters = tuple(
        Matter(f"{change.kind.capitalize()} {change.record}", report.get_absolute_url(), _said(change))
        for report in reports
        for change in changes_of(report)
    )
    return Section(
        "Approved, and judged differently since the program was upgraded",
        "No upgrade of the program changes what was approved.",
        matters,
        rank=Rank.STOPPED,
        button="See the report",
    )


def stopped_by_upgrade(person: Person) -> Section | None:
    """Approved records that an upgrade stopped, also once its report was seen, until they are revised or
    withdrawn."""
    if not may_read(person):
        return None
    reports = Rejudging.objects.filter(cause=Rejudging.Cause.UPGRADE, seen_at__isnull=False)
    matters = tuple(
        Matter(f"{change.kind.capitalize()} {change.record}", change.url, _reasons(change))
        for report in reports.order_by("saved_at")
        for change in stopped_since(report)
    )
    return Section(
        "Approved, and stopped by an upgrade of the program",
        "No approved record waits for a revision since an upgrade of the program.",
        matters,
        rank=Rank.STOPPED,
        button="Open the record",
    )


def _reasons(change: RejudgedRecord) -> str:
    return f"{' '.join(change.refusals[:MOST_NAMED])} {REMEDY}"


def _said(change: RejudgedRecord) -> str:
    said = [] if change.before == change.after else [f"“{change.before}” is “{change.after}” now"]
    said += [f"{each.what}: {each.before}, now {each.after}" for each in change.differences[:MOST_NAMED]]
    more = len(change.differences) - MOST_NAMED
    words = "; ".join(said) + (f"; and {more} more" if more > 0 else "")
    return f"{words}. {_reasons(change)}" if change.refusals else words


SOURCES = (judged_by_upgrade, stopped_by_upgrade)

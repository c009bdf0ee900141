"""What needs attention of limits laid over the code, and of the shop's own checks of the code tables."""

from __future__ import annotations

from django.urls import reverse

from qualification.codes.editions import available_editions
from qualification.codes.editions_in_force import find_row, stale_checks
from qualification.codes.own_compare import RowChange, parent_moved
from qualification.models import OwnEdition, State, TableCheck
from qualification.roles import Person, may_approve, may_author, may_read
from qualification.rules.tabular.schema import TableError
from wps.corrections.rejudging import RejudgedRecord, changes_of
from wps.models import Rejudging, Spec
from wps.procedures.limits_since import Since, with_limits_since
from wps.today.attention import KINDS
from wps.today.matters import Matter, Rank, Section

NAMED = 3
"""Rows that Today names; the page of the comparison has all."""


def outside_limits(person: Person) -> Section | None:
    """Approved procedures that a limit entered since their approval stands against."""
    if not may_read(person):
        return None
    return Section(
        "Approved, but outside a limit entered since",
        "No limit entered since stands against an approved procedure.",
        _matters(with_limits_since([State.APPROVED])),
        rank=Rank.STOPPED,
        button="See the record",
    )


def not_approvable(person: Person) -> Section | None:
    """What in review is judged differently since it was handed in: procedures that a limit entered since
    stands against, and records a change of the code tables judges differently. Shown only when there are
    any."""
    if not may_author(person) and not may_approve(person):
        return None
    matters = (*_matters(with_limits_since([State.IN_REVIEW])), *_differently(State.IN_REVIEW, "updated_at"))
    if not matters:
        return None
    return Section(
        "In review, and judged differently since it was handed in",
        "",
        matters,
        rank=Rank.WAITS,
        button="Review",
    )


def _matters(found: list[tuple[Spec, list[Since]]]) -> tuple[Matter, ...]:
    return tuple(
        Matter(f"Procedure {spec}", spec.get_absolute_url(), " ".join(each.sentence for each in since))
        for spec, since in found
    )


def judged_differently(person: Person) -> Section | None:
    """Approved records that a change of the code tables saved since their approval judges differently."""
    if not may_read(person):
        return None
    return Section(
        "Approved, and judged differently since the tables were corrected",
        "No correction since changes what was approved.",
        _differently(State.APPROVED, "approved_at"),
        rank=Rank.STOPPED,
        button="See the record",
    )


def _differently(state: State, since: str) -> tuple[Matter, ...]:
    """Records in that state whose answer changes of the tables saved since the moment named have turned into
    another."""
    reports = (
        Rejudging.objects.filter(saved_at__isnull=False)
        .exclude(cause=Rejudging.Cause.UPGRADE)
        .select_related("check_made")
        .order_by("saved_at")
    )
    changes = [(report, change) for report in reports for change in changes_of(report)]
    standing = {
        (kind.KIND, pk): when
        for kind in KINDS
        if (named := {change.record_id for _, change in changes if change.kind == kind.KIND})
        for pk, when in kind.objects.filter(state=state, pk__in=named).values_list("pk", since)
    }
    found: dict[tuple[str, int], tuple[RejudgedRecord, RejudgedRecord, Rejudging]] = {}
    for report, change in changes:
        key = (change.kind, change.record_id)
        when = standing.get(key)
        if key in standing and (when is None or when < report.saved_at):
            found[key] = (found[key][0] if key in found else change, change, report)
    return tuple(
        Matter(
            f"{last.kind.capitalize()} {last.record}",
            last.url,
            f"{report}: “{first.before}” is “{last.after}” now",
        )
        for first, last, report in found.values()
        if first.before != last.after
    )


def checks_without_effect(person: Person) -> Section | None:
    """Checks of table rows that have changed since, for those who can hold them against the copy again."""
    if not may_approve(person):
        return None
    keys = (
        TableCheck.objects.filter(taken_back_because="")
        .order_by("edition")
        .values_list("edition", flat=True)
        .distinct()
    )
    names = dict(available_editions())
    matters = tuple(
        Matter(
            f"{made.clause} ({names.get(made.edition, made.edition)})",
            _row_url(made),
            f"{'corrected' if made.changes else 'confirmed'} by {made.person_name} on {made.checked_on}"
            f" against {made.copy}; the row has changed since, and the check has no effect",
        )
        for key in keys
        for made in _stale(key)
    )
    return Section(
        "Checks of the code tables without effect",
        "Every check of the code tables holds.",
        matters,
        button="Check again",
    )


def _stale(key: str) -> list[TableCheck]:
    try:
        return stale_checks(key)
    except TableError:  # not installed here any more: nothing is judged by it
        return []


def parents_changed(person: Person) -> Section | None:
    """Editions of the shop's own whose parent is another than when it was copied, after an upgrade of the
    program or a correction. Shown only where there are any."""
    if not may_approve(person):
        return None
    kept = OwnEdition.objects.exclude(state=OwnEdition.State.WITHDRAWN).exclude(parent="")
    found = [(own, changes) for own in kept if (changes := parent_moved(own))]
    if not found:
        return None
    return Section(
        "The edition that one of the shop's own began from has changed",
        "",
        tuple(
            Matter(
                own.name,
                f"{reverse('own_edition_compare', args=[own.pk])}#moved",
                f"{own.parent_name}: {_in_short(changes)}; {own.name} keeps its own rows",
            )
            for own, changes in found
        ),
        button="See what differs",
    )


def _in_short(changes: list[RowChange]) -> str:
    """Which rows, the first few by clause and subject."""
    named = "; ".join(f"{each.how.lower()} {each.row.clause} {each.row.subject}" for each in changes[:NAMED])
    more = f"; and {len(changes) - NAMED} more rows" if len(changes) > NAMED else ""
    return named + more


def _row_url(made: TableCheck) -> str:
    """The row's page; that of all tables where the row is gone."""
    if find_row(made.edition, made.file, made.place) is None:
        return f"{reverse('code_tables')}?edition={made.edition}"
    return reverse("table_row", args=[made.edition, made.stem, made.place])


SOURCES = (outside_limits, not_approvable, judged_differently, checks_without_effect, parents_changed)

"""What needs attention, as a list of sources. To add a section, write a source and name it in SOURCES."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse
from django.utils import timezone

from qualification.continuity import Standing, best_by_process, standings_of
from qualification.models import ProcedureTest, Record, Shop, State, Welder, WelderTest
from qualification.roles import Person, may_approve, may_author, may_read
from qualification.rules.continuity import State as Holding
from wps.models import Spec


@dataclass(frozen=True)
class Matter:
    """One line: what waits, where it is mended, and a detail such as a date."""

    what: str
    url: str
    detail: str = ""


@dataclass(frozen=True)
class Section:
    """Matters of one sort, under one heading; `when_none` is the sentence shown when nothing waits."""

    title: str
    when_none: str
    matters: tuple[Matter, ...]
    several: Matter | None = None
    """A way to deal with more of them than one, told after the others."""
    whole: int | None = None
    """How many there are, where not all are listed."""

    @property
    def count(self) -> int:
        return len(self.matters) if self.whole is None else self.whole


Source = Callable[[Person], Section | None]


def shop_set_up(person: Person) -> Section | None:
    """What is still missing from the letterhead; only for those who can fill it in."""
    if not may_approve(person):
        return None
    shop, url = Shop.current(), reverse("shop")
    gaps = (
        (shop._state.adding, "Describe the shop", "Its name stands at the head of each document."),
        (not shop.address_lines, "Give the shop's address", "It is printed on each document."),
        (
            not shop.responsible_person,
            "Name the responsible welding person",
            "Numbers taken from memory wait for this person's check against the shop's own copy of the code.",
        ),
        (not shop.code_edition, "Choose the code edition", "New records start under this edition."),
    )
    matters = tuple(Matter(what, url, detail) for missing, what, detail in gaps if missing)
    return Section("Shop", "The letterhead is complete.", matters)


KINDS: tuple[type[Record], ...] = (Spec, ProcedureTest, WelderTest)
SOON = timedelta(days=30)
"""How long before its end a qualification is named: time enough to plan a coupon (common practice)."""


def own_drafts(person: Person) -> Section | None:
    """What the person started and has not handed in."""
    if not may_author(person):
        return None
    matters = _records(
        State.DRAFT,
        lambda record: record.author_id == person.pk,
        lambda record: f"changed {record.updated_at:%Y-%m-%d}",
    )
    return Section("Drafts of mine", "No draft of mine is open.", matters)


def waiting_for_review(person: Person) -> Section | None:
    """What this person can approve; the own revision only where the shop allows that."""
    if not may_approve(person):
        return None
    own_too = Shop.current().allow_self_approval
    matters = _records(
        State.IN_REVIEW,
        lambda record: own_too or record.author_id != person.pk,
        lambda record: f"handed in by {record.author_name}",
    )
    return Section("Waiting for my review", "Nothing waits for review.", matters)


def _records(
    state: State, wanted: Callable[[Record], bool], detail: Callable[[Record], str]
) -> tuple[Matter, ...]:
    found = [
        record
        for kind in KINDS
        for record in kind.objects.filter(state=state).order_by("number")
        if wanted(record)
    ]
    return tuple(
        Matter(f"{record.KIND.capitalize()} {record}", record.get_absolute_url(), detail(record))
        for record in found
    )


def continuity_ending(person: Person) -> Section | None:
    """Qualifications of active welders that lapsed, or lapse within `SOON`, and what is due by then; longest
    ago first."""
    if not may_read(person):
        return None
    today = timezone.localdate()
    ending = [
        (standing, welder)
        for welder in Welder.objects.filter(active=True)
        for standing in _worth_a_look(standings_of(welder, today))
        if _ends_soon(standing, today + SOON)
    ]
    ending.sort(key=lambda pair: (pair[0].answer.holds_until or today, pair[1].name))
    matters = tuple(
        Matter(
            f"{welder}: {standing.process}, {standing.operation_words.lower()}"
            + (f", {standing.record.number}" if standing.is_confirmed else ""),
            (standing.record if standing.is_confirmed else welder).get_absolute_url(),
            _said(standing, today + SOON),
        )
        for standing, welder in ending
    )
    return Section("Continuity", "No qualification lapses within 30 days.", matters)


def _worth_a_look(standings: list[Standing]) -> list[Standing]:
    """For each process the standing that holds longest, and every other test that is confirmed by itself and
    has not ended: each covers its own range, and a later one does not confirm it."""
    best = best_by_process(standings)
    ended = (Holding.LAPSED, Holding.REVOKED)
    return best + [
        each
        for each in standings
        if each not in best and each.is_confirmed and each.answer.state not in ended
    ]


def _said(standing: Standing, limit: date) -> str:
    """When it ends or why it does not hold, and what is due by the limit."""
    if standing.answer.holds_until is None or standing.answer.state is Holding.UNKNOWN:
        return standing.answer.because
    due = standing.due_by(limit)
    return f"{standing.words}. {due}" if due else standing.words


def _ends_soon(standing: Standing, limit: date) -> bool:
    answer = standing.answer
    return answer.state is not Holding.HOLDS or (
        answer.holds_until is not None and answer.holds_until <= limit
    )


def supports_changed(person: Person) -> Section | None:
    """Approved procedures that rest on a test which was superseded or withdrawn since."""
    if not may_read(person):
        return None
    gone = (State.SUPERSEDED, State.WITHDRAWN)
    specs = Spec.objects.filter(state=State.APPROVED, tests__state__in=gone).distinct().order_by("number")
    matters = tuple(
        Matter(
            f"Procedure {spec}",
            spec.get_absolute_url(),
            _gone(test for test in spec.tests.order_by("number") if test.state in gone),
        )
        for spec in specs
    )
    return Section(
        "Procedures whose tests changed", "Every approved procedure rests on tests in force.", matters
    )


def _gone(tests: Iterable[ProcedureTest]) -> str:
    return ", ".join(f"{test} is {test.get_state_display().lower()}" for test in tests)


SOURCES: list[Source] = [waiting_for_review, own_drafts, continuity_ending, supports_changed, shop_set_up]


def sections_for(person: Person) -> list[Section]:
    """Return the sections this person sees: those with matters first, each group in the order of SOURCES."""
    sections = [section for source in SOURCES if (section := source(person)) is not None]
    return sorted(sections, key=lambda section: not section.matters)

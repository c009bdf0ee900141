"""What needs attention, as a list of sources. To add a section, write a source and name it in SOURCES."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from django.urls import reverse
from django.utils import timezone

from qualification.models import ProcedureTest, Record, Shop, State, Welder, WelderTest
from qualification.records.audit import events_of
from qualification.roles import Person, may_approve, may_author, may_read
from qualification.rules.welders.continuity import Validity as Holding
from qualification.server_address import server_address
from qualification.welders.continuity import QualificationStatus
from qualification.welders.in_short import in_short_of_all
from wps.models import Spec
from wps.today.matters import Matter, Rank, Section

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
        (
            not server_address(),
            "Set the address of the server",
            "Until then papers print no code to scan: they say “ask the shop”.",
        ),
        (not shop.code_edition, "Choose the code edition", "New records start under this edition."),
    )
    matters = tuple(Matter(what, url, detail) for missing, what, detail in gaps if missing)
    return Section("Shop", "The letterhead is complete.", matters, button="Fill in")


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
        lambda record: _returned(record) or f"changed {record.updated_at:%Y-%m-%d}",
    )
    return Section("My drafts", "No draft of mine is open.", matters, rank=Rank.OWN, button="Go on")


def _returned(record: Record) -> str:
    """Who returned the draft and why, while nothing else was done with it since."""
    steps = (event for event in events_of(record) if event.verb in ("return", "submit", "take_back"))
    last = next(steps, None)
    if last is None or last.verb != "return":
        return ""
    return f"returned by {last.actor_name}: “{last.data.get('reason', '')}”"


def waiting_for_review(person: Person) -> Section | None:
    """What this person can approve; the own revision only where the shop allows that."""
    if not may_approve(person):
        return None
    own_too = Shop.current().allow_self_approval
    matters = _records(
        State.IN_REVIEW,
        lambda record: own_too or record.author_id != person.pk,
        lambda record: f"submitted by {record.author_name}",
    )
    return Section(
        "Waiting for my review", "Nothing waits for review.", matters, rank=Rank.WAITS, button="Review"
    )


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
        for welder, short in in_short_of_all(Welder.objects.filter(active=True), today)
        for standing in short.worth_a_look
        if _ends_soon(standing, today + SOON)
    ]
    ending.sort(key=lambda pair: (pair[0].answer.holds_until or today, pair[1].name))
    matters = tuple(
        Matter(
            f"{welder}: {standing.process}, {standing.operation_words.lower()}"
            + (f", {standing.record.number}" if standing.is_confirmed else ""),
            (standing.record if standing.is_confirmed else welder).get_absolute_url(),
            _said(standing, today + SOON),
            Rank.ENDS_SOON if standing.answer.state is Holding.HOLDS else Rank.STOPPED,
        )
        for standing, welder in ending
    )
    return Section(
        "Continuity",
        "No qualification lapses within 30 days.",
        matters,
        rank=Rank.STOPPED,
        button="See the welder",
    )


def _said(standing: QualificationStatus, limit: date) -> str:
    """When it ends or why it does not hold, and what is due by the limit."""
    if standing.answer.holds_until is None or standing.answer.state is Holding.UNKNOWN:
        return standing.answer.because
    due = standing.due_by(limit)
    return f"{standing.words}. {due}" if due else standing.words


def _ends_soon(standing: QualificationStatus, limit: date) -> bool:
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
        "Procedures whose tests changed",
        "Every approved procedure rests on tests in force.",
        matters,
        rank=Rank.STOPPED,
        button="See the procedure",
    )


def _gone(tests: Iterable[ProcedureTest]) -> str:
    return ", ".join(f"{test} is {test.get_state_display().lower()}" for test in tests)


def first_paper(person: Person) -> Section | None:
    """The way to the first paper, while there is none."""
    if not may_author(person) or any(kind.objects.exists() for kind in KINDS):
        return None
    start = Matter(
        "Write the first paper",
        reverse("first_paper"),
        "From a paper record, a coupon you are about to weld, or a drawing.",
    )
    return Section("Start", "", (start,), rank=Rank.OWN, button="Choose a way")


SOURCES: list[Source] = [
    waiting_for_review,
    own_drafts,
    continuity_ending,
    supports_changed,
    first_paper,
    shop_set_up,
]


def sections_for(person: Person) -> list[Section]:
    """Return the sections this person sees: those with matters first, each group in the order of SOURCES."""
    sections = [section for source in SOURCES if (section := source(person)) is not None]
    return sorted(sections, key=lambda section: not section.matters)

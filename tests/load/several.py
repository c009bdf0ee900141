"""Several servers and their workers on one database, and people who go from one to another with each page, as
behind a server in front that spreads the load: nothing lost, one number once, one task once."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random

from django.db import connection, connections

from qualification.models import State
from qualification.models.audit import AuditEntry
from qualification.roles import APPROVER, AUTHOR
from tests.background import wait_for_the_end
from tests.crash.invariants import broken
from tests.faults import Faults
from tests.load.run import PASSWORD, draft_of, name_of
from tests.served import Answer, Served, Visitor
from wps.models import BackgroundTask, IssuedDocument, Job, Spec, TaskState

MOST_TRIES = 200
"""Posts of one new job. Each refusal means that somebody else has the number meanwhile."""
MOST_SECONDS = 900.0
"""After which papers that show no progress are a fault, however busy the machine."""


class Shared:
    """The servers, what people were told is stored, and what does not hold."""

    def __init__(self, addresses: list[str], drafts: list[int]) -> None:
        self.addresses, self.drafts = addresses, drafts
        self.notes: dict[int, str] = {}
        self.jobs: Counter[str] = Counter()
        self.refused = 0
        self.faults = Faults()
        self._lock = threading.Lock()

    def person(self, number: int, rounds: int) -> None:
        """One person at work on a draft of their own, and on jobs as everybody else."""
        random, draft = Random(number), self.drafts[number]
        visitor = self._signed_in(random, name_of(number), PASSWORD)
        for each in range(rounds):
            self._saves(random, visitor, draft, f"Round {each} of {name_of(number)}")
            self._starts_a_job(random, visitor, f"Rack {each} of {name_of(number)}")
        self._to(random, visitor).post(f"/procedures/{draft}/step/", {"action": "submit"}, follow=False)

    def approver(self, number: int) -> None:
        """One person who approves the drafts of the next two, as somebody else does at the same time."""
        random = Random(number)
        visitor = self._signed_in(random, name_of(number), PASSWORD)
        for draft in [self.drafts[(number + further) % len(self.drafts)] for further in (1, 2)]:
            entries = {"action": "approve", "own_password": PASSWORD}
            self._to(random, visitor)
            self._answered(visitor.post(f"/procedures/{draft}/step/", entries, follow=False))

    def _signed_in(self, random: Random, name: str, password: str) -> Visitor:
        return Visitor(random.choice(self.addresses)).sign_in(name, password)

    def _to(self, random: Random, visitor: Visitor) -> Visitor:
        """The same person, with the same cookies, at one of the servers."""
        visitor.address = random.choice(self.addresses)
        return visitor

    def _saves(self, random: Random, visitor: Visitor, draft: int, note: str) -> None:
        path = f"/procedures/{draft}/edit/"
        entries = self._to(random, visitor).get(path).form(path) | {"notes": [note]}
        saved = self._answered(self._to(random, visitor).post(path, entries, follow=False))
        if saved.status != 302:
            self.faults.add(f"{note} was not saved: {saved.status}")
            return
        self.notes[draft] = note
        shown = self._to(random, visitor).get(path).form(path)["notes"]
        if shown[0].strip() != note:
            self.faults.add(f"{note} was saved, and another server shows {shown[0]!r}")

    def _starts_a_job(self, random: Random, visitor: Visitor, title: str) -> None:
        for _ in range(MOST_TRIES):
            path = "/jobs/new/"
            entries = self._to(random, visitor).get(path).form(path) | {"title": [title]}
            made = self._answered(self._to(random, visitor).post(path, entries, follow=False))
            with self._lock:
                self.jobs[title] += made.status == 302
                self.refused += made.status == 422
            if made.status == 302:
                return
        self.faults.add(f"{title} was refused {MOST_TRIES} times.")

    def _answered(self, answer: Answer) -> Answer:
        if answer.status >= 500:
            self.faults.add(f"{answer.address} answered {answer.status}")
        return answer


def run(folder: Path, people: int, servers: int, rounds: int) -> int:
    """Print what was done; 1 when anything does not hold."""
    shared = Shared([], [draft_of(number, [AUTHOR, APPROVER]) for number in range(people)])
    BackgroundTask.objects.all().delete()  # papers of the demo shop; those of the drafts are enough
    connections.close_all()
    running = [Served(folder / f"server{number}.log") for number in range(servers)]
    try:
        for each in running:
            each.start()
            shared.addresses.append(each.address)
        with ThreadPoolExecutor(people) as pool:
            list(pool.map(lambda number: shared.person(number, rounds), range(people)))
            list(pool.map(shared.approver, range(people)))
        wait_for_the_end(MOST_SECONDS)
    finally:
        for each in running:
            each.stop()
    shared.faults.add(*_lost(shared), *_twice(shared), *broken())
    done = BackgroundTask.objects.filter(state=TaskState.DONE)
    workers = set(done.values_list("worker", flat=True))
    print(f"{people} people on {servers} servers, {connection.vendor}: {people * rounds} drafts saved,")
    print(f"{sum(shared.jobs.values())} jobs made, {shared.refused} times asked for another number,")
    print(f"{len(shared.drafts)} procedures approved, {done.count()} tasks done by {len(workers)} workers")
    return shared.faults.told()


def _lost(shared: Shared) -> Iterator[str]:
    """What somebody was told is stored, and is not."""
    for draft in Spec.objects.filter(pk__in=shared.drafts):
        if draft.notes != shared.notes.get(draft.pk):
            yield f"{draft} says {draft.notes!r}; saved last was {shared.notes.get(draft.pk)!r}"
        if draft.state != State.APPROVED:
            yield f"{draft} was approved and is {draft.state}."
        papers = IssuedDocument.objects.filter(kind=draft.KIND, record_id=draft.pk)
        if [paper.is_stored for paper in papers] != [True]:
            yield f"{draft} has {len(papers)} papers."
    for title, count in shared.jobs.items():
        if (stored := Job.objects.filter(title=title).count()) != count:
            yield f"{title} was accepted {count} times and is there {stored} times."


def _twice(shared: Shared) -> Iterator[str]:
    """Numbers given twice, acts and tasks done twice."""
    numbers = Counter(Job.objects.values_list("number", flat=True))
    yield from (f"{count} jobs have the number {each}." for each, count in numbers.items() if count > 1)
    for verb in ("approve", "issue"):
        told = Counter(
            AuditEntry.objects.filter(
                verb=verb, record_kind=Spec.KIND, record_id__in=shared.drafts
            ).values_list("record_name", flat=True)
        )
        if set(told.values()) != {1} or len(told) != len(shared.drafts):
            yield f"{verb}, by record: {dict(told)}"
    for task in BackgroundTask.objects.exclude(state=TaskState.DONE, attempts=1):
        yield f"{task} is {task.state} after {task.attempts} attempts."
    asked = Counter(BackgroundTask.objects.filter(kind="issue").values_list("subject_id", flat=True))
    yield from (
        f"The paper {each} was asked for {count} times." for each, count in asked.items() if count > 1
    )

"""So many people against one server, and what their pages took beside an empty one."""

from __future__ import annotations

import threading
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path
from random import Random
from statistics import quantiles

from django.contrib.auth.models import User
from django.db import connections

from qualification.models import State
from qualification.roles import AUTHOR, grant_roles
from tests.faults import Faults
from tests.served import GONE, Answer, Served, Visitor
from wps.models import Spec

PASSWORD = "a long walk on the breakwater"
EMPTY = "/session/"
"""A page that answers a word: what server and sign-in take by themselves."""
READ = (
    "/",
    "/procedures/",
    "/procedure-tests/",
    "/welders/",
    "/jobs/",
    "/jobs/1/list/",
    "/lapses/",
    "/find/?q=AL",
)
ALONE = 20
"""Empty pages asked for before anybody else is there."""


class Load:
    """What everybody's pages took, by what was done, and what went wrong."""

    def __init__(self, address: str, until: float, thinking: float) -> None:
        self.address, self.until, self.thinking = address, until, thinking
        self.took: dict[str, list[float]] = defaultdict(list)
        self.faults = Faults()
        self._lock = threading.Lock()

    def person(self, number: int, procedure: int) -> None:
        """One person at work until the end; each has a draft of their own."""
        try:
            self._work(Random(number), Visitor(self.address).sign_in(name_of(number), PASSWORD), procedure)
        except (*GONE, AssertionError, StopIteration) as error:
            self.faults.add(f"{name_of(number)}: {type(error).__name__}: {error}")

    def _work(self, random: Random, visitor: Visitor, procedure: int) -> None:
        edit = f"/procedures/{procedure}/edit/"
        while time.monotonic() < self.until:
            what = random.choices(("empty", "read", "check", "save"), (1, 4, 2, 1))[0]
            if what == "empty":
                self._timed(what, visitor, EMPTY)
            elif what == "read":
                self._timed(what, visitor, random.choice((*READ, f"/procedures/{procedure}/")))
            else:
                page = self._timed("open", visitor, edit)
                entries = page.form(edit)
                entries["notes"] = [f"Seen at {time.monotonic():.2f}"]
                path = f"/procedures/{procedure}/check/" if what == "check" else edit
                self._timed(what, visitor, path, entries)
            time.sleep(random.uniform(0, self.thinking))

    def _timed(
        self, what: str, visitor: Visitor, path: str, entries: Mapping[str, list[str]] | None = None
    ) -> Answer:
        began = time.monotonic()
        answer = visitor.get(path) if entries is None else visitor.post(path, entries)
        with self._lock:
            self.took[what].append(time.monotonic() - began)
        if answer.status >= 400:
            self.faults.add(f"{what}: {answer.address} answered {answer.status}")
        return answer


def run(folder: Path, people: int, seconds: float, thinking: float) -> int:
    """Print what it took; 1 when anything failed. `thinking` is the most seconds between two pages of one
    person."""
    drafts = [draft_of(number) for number in range(people)]
    connections.close_all()
    server = Served(folder / "server.log")
    server.start()
    try:
        alone = _alone(server.address)
        load = Load(server.address, time.monotonic() + seconds, thinking)
        threads = [
            threading.Thread(target=load.person, args=(number, draft)) for number, draft in enumerate(drafts)
        ]
        for each in threads:
            each.start()
        for each in threads:
            each.join()
    finally:
        server.stop()
    return _told(load, people, seconds, alone)


def _alone(address: str) -> float:
    """What an empty page takes when nobody else is there, at most in 95 of 100 cases."""
    visitor, took = Visitor(address).sign_in(name_of(0), PASSWORD), []
    for _ in range(ALONE):
        began = time.monotonic()
        visitor.get(EMPTY)
        took.append(time.monotonic() - began)
    return quantiles(took, n=20)[-1]


def _told(load: Load, people: int, seconds: float, alone: float) -> int:
    slowest = {what: quantiles(took, n=20)[-1] for what, took in load.took.items() if len(took) > 1}
    print(f"{people} people for {seconds:.0f} s: {sum(map(len, load.took.values()))} pages")
    for what, at_most in sorted(slowest.items()):
        ratio = at_most / slowest["empty"] if slowest.get("empty") else float("nan")
        print(f"{what}: {len(load.took[what])}, 95 of 100 within {ratio:.1f} times an empty page")
    if slowest.get("empty"):
        print(f"an empty page: {slowest['empty'] / alone:.1f} times what it takes one person alone")
    return load.faults.told()


def name_of(number: int) -> str:
    return f"person{number}"


def draft_of(number: int, roles: Sequence[str] = (AUTHOR,)) -> int:
    """A person of their own with a draft like the demo's first procedure; its key."""
    person = User.objects.create_user(
        name_of(number), password=PASSWORD, first_name="Person", last_name=str(number)
    )
    grant_roles(person, list(roles))
    draft = Spec.objects.order_by("pk")[0]
    tests = list(draft.tests.all())
    draft.pk, draft.number, draft.state, draft.author = None, f"LD-{number}", State.DRAFT, person
    draft.snapshot, draft.snapshot_hash = None, ""
    draft.approved_by, draft.approved_by_name, draft.approved_at = None, "", None
    draft.save()
    draft.tests.set(tests)
    return draft.pk

"""The kills one after another: somebody is at work, something is killed, all is looked at, work goes on."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from random import Random

from django.db import connection, connections

from tests.crash import invariants
from tests.crash.acts import Acts
from tests.served import GONE, Served
from wps.background.alive import is_alive
from wps.background.tasks import UNEXPECTED
from wps.backups.schedule import is_wanted
from wps.models import BackgroundTask, TaskState

TARGETS = ("web", "worker", "both")
LONGEST_ACT = 6.0
"""Seconds into an act after which a kill comes at the latest."""
LONGEST_START = 30.0
"""Seconds in which a worker appears, where there is work for one."""
AGAIN_SECONDS = 10.0
"""Within which a task goes on once a server answers again, on a machine with nothing else to do."""
GIVEN_UP_SECONDS = 300.0
"""After which one that did not is a fault, however busy the machine."""
SIGNED_IN_SECONDS = 600.0


class Run:
    """One shop, its server, and what was found."""

    def __init__(self, folder: Path, random: Random) -> None:
        self.random, self.server = random, Served(folder / "server.log")
        self.kills: Counter[str] = Counter()
        self.waits: list[float] = []
        self.faults: list[str] = []

    def all(self, kills: int) -> int:
        """So many kills; 1 when anything does not hold."""
        try:
            self._all(kills)
        finally:
            self.server.stop()
        print(f"{kills} kills on {connection.vendor}: {dict(sorted(self.kills.items()))}")
        waits = sorted(self.waits)
        if waits:
            print(
                f"{len(waits)} tasks left by a dead worker went on after at most {waits[-1]:.1f} s,", end=" "
            )
            print(
                f"{sum(each > AGAIN_SECONDS for each in waits)} of them after more than {AGAIN_SECONDS:.0f} s"
            )
        print(f"whole files that no record names: {invariants.unnamed_files()}")
        print(f"faults: {len(self.faults) or 'none'}")
        return 1 if self.faults else 0

    def _all(self, kills: int) -> None:
        self.server.start()
        acts, since = Acts(self.server.address, self.random), time.monotonic()
        acts.make_certificates()
        for number in range(1, kills + 1):
            if time.monotonic() - since > SIGNED_IN_SECONDS:
                lists, acts = acts.lists, Acts(self.server.address, self.random)
                acts.lists, since = lists, time.monotonic()
            chosen = self.random.sample([each for each in acts.all() if self._can(each)], 2)
            people = [threading.Thread(target=self._do, args=(act,)) for act in chosen]
            for person in people:
                person.start()
            what = self._kill()
            for person in people:
                person.join()
            when = f"kill {number} ({what} in {'+'.join(act.__name__ for act in chosen)})"
            self._look(when)
            if self.server.process is None or self.server.process.poll() is not None:
                self.server.start()
            self._goes_on(when)
            print(f"{when}: looked at, {len(self.faults)} faults so far")
            for act in chosen:
                self.kills[f"{what} in {act.__name__}"] += 1
        self._ends(acts)

    def _ends(self, acts: Acts) -> None:
        """What was given up after three kills is asked for again, and everything comes to its end."""
        for task in BackgroundTask.objects.filter(state=TaskState.FAILED):
            acts.author.post(f"/background/{task.pk}/again/", {})
        until = time.monotonic() + GIVEN_UP_SECONDS
        while _open() and time.monotonic() < until:
            time.sleep(0.5)
        self._look("in the end")
        if _open():
            self._fault("Tasks do not come to an end.")

    @staticmethod
    def _can(act: Callable[[], None]) -> bool:
        return act.__name__ != "back_up" or is_wanted()

    def _do(self, act: Callable[[], None]) -> None:
        try:
            act()
        except GONE:
            pass  # it was killed
        except Exception as error:  # whatever escapes an act is a fault, and not the end of the run
            self._fault(f"{act.__name__}: {type(error).__name__}: {error}")
        finally:
            connections.close_all()

    def _kill(self) -> str:
        """Wait, then kill; what was killed. A worker is waited for a little, so that it is one at work."""
        what = self.random.choice(TARGETS)
        time.sleep(self.random.uniform(0, LONGEST_ACT))
        worker, until = self.server.worker(), time.monotonic() + LONGEST_START
        while what != "web" and worker is None and time.monotonic() < until:
            time.sleep(0.05)
            worker = self.server.worker()
        if what != "web" and worker is not None:
            time.sleep(self.random.uniform(0, LONGEST_ACT))
            try:
                os.kill(worker, signal.SIGKILL)
            except ProcessLookupError:
                worker = None  # it was done
        if what != "worker":
            self.server.kill()
        return what if what == "web" or worker is not None else "web" if what == "both" else "nothing"

    def _look(self, when: str) -> None:
        connections.close_all()
        for sentence in invariants.broken():
            self._fault(f"{when}: {sentence}")
        for task in BackgroundTask.objects.filter(message=UNEXPECTED):
            self._fault(f"{when}: {task} failed; see {self.server.log}")

    def _goes_on(self, when: str) -> None:
        """Each task that a dead worker left is begun again, and in the end none waits."""
        began = time.monotonic()
        left = _left_by_the_dead()
        while left:
            again = BackgroundTask.objects.filter(pk__in=left)
            for task in again:
                if task.attempts > left[task.pk] or task.state != TaskState.RUNNING:
                    self.waits.append(time.monotonic() - began)
                    del left[task.pk]
            if left and time.monotonic() - began > GIVEN_UP_SECONDS:
                self._fault(f"{when}: {len(left)} tasks did not go on.")
                break
            time.sleep(0.1)

    def _fault(self, said: str) -> None:
        self.faults.append(said)
        print(f"== {said}", flush=True)


def _left_by_the_dead() -> dict[int, int]:
    """Tasks in hand of a worker that ended, and how often each was begun."""
    running = BackgroundTask.objects.filter(state=TaskState.RUNNING)
    return {each.pk: each.attempts for each in running if is_alive(each.worker) is False}


def _open() -> bool:
    return BackgroundTask.objects.filter(state__in=[TaskState.WAITING, TaskState.RUNNING]).exists()


sys.stdout.reconfigure(line_buffering=True)  # type: ignore[union-attr]

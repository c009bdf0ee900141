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

from django.conf import settings
from django.db import connection, connections

from tests.background import wait_for_the_end
from tests.crash import invariants
from tests.crash.acts import Acts
from tests.faults import Faults
from tests.served import GONE, Served
from wps.background.alive import is_alive
from wps.background.tasks import UNEXPECTED
from wps.backups.schedule import is_wanted
from wps.documents.left_over import OLD_SECONDS, clear_left_over, left_over
from wps.models import BackgroundTask, TaskState

TARGETS = ("web", "worker", "both")
LONGEST_ACT = 6.0
"""Seconds into an act after which a kill comes at the latest; half of them come within the first eighth."""
LONGEST_START = 30.0
"""Seconds in which a worker appears, where there is work for one."""
AGAIN_SECONDS = 10.0
"""Within which a task goes on once a server answers again, on a machine with nothing else to do."""
GIVEN_UP_SECONDS = 900.0
"""After which one that did not is a fault, however busy the machine; as is one that shows no progress for so
long."""
SIGNED_IN_SECONDS = 600.0


class Run:
    """One shop, its server, and what was found."""

    def __init__(self, server: Served, random: Random, most_seconds: float) -> None:
        self.random, self.server = random, server
        self.until = time.monotonic() + most_seconds
        self.kills: Counter[str] = Counter()
        self.waits: list[float] = []
        self.faults = Faults(at_once=True)
        self.cleared = 0

    def all(self, kills: int) -> int:
        """So many kills; 1 when anything does not hold."""
        try:
            self._all(kills)
        finally:
            self.server.stop()
        done = sum(self.kills.values()) // 2
        print(f"{done} kills on {connection.vendor}: {dict(sorted(self.kills.items()))}")
        waits = sorted(self.waits)
        if waits:
            print(
                f"{len(waits)} tasks left by a dead worker went on after at most {waits[-1]:.1f} s,", end=" "
            )
            print(
                f"{sum(each > AGAIN_SECONDS for each in waits)} of them after more than {AGAIN_SECONDS:.0f} s"
            )
        print(f"files whose record was never stored, found and removed: {self.cleared}")
        return self.faults.told()

    def _all(self, kills: int) -> None:
        self.server.start()
        acts, since = Acts(self.server.address, self.random), time.monotonic()
        acts.make_certificates()
        for number in range(1, kills + 1):
            if time.monotonic() > self.until:
                break
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
            if not self.server.is_running:
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
        came_to_its_end = wait_for_the_end(GIVEN_UP_SECONDS)
        self._look("in the end")
        if not came_to_its_end:
            self.faults.add("Tasks do not come to an end.")
        self._clears_up()

    def _clears_up(self) -> None:
        """Files whose record was never stored are found, removed on asking, and nothing else is."""
        unnamed, folder = invariants.unnamed_files(), Path(settings.ISSUED_DIR)
        for path in folder.iterdir():
            os.utime(path, (time.time() - 2 * OLD_SECONDS,) * 2)
        if (found := {each.path.stem for each in left_over()}) != unnamed:
            self.faults.add(f"Left over, and not so by the program: {sorted(found ^ unnamed)}")
        gone, kept = clear_left_over("Crash harness")
        self.cleared = len(gone)
        if kept or invariants.unnamed_files():
            self.faults.add(f"{len(kept)} files left over were not removed.")
        self._look("after clearing up")

    @staticmethod
    def _can(act: Callable[[], None]) -> bool:
        return act.__name__ != "back_up" or is_wanted()

    def _do(self, act: Callable[[], None]) -> None:
        try:
            act()
        except GONE:
            pass  # it was killed
        except Exception as error:  # whatever escapes an act is a fault, and not the end of the run
            self.faults.add(f"{act.__name__}: {type(error).__name__}: {error}")
        finally:
            connections.close_all()

    def _kill(self) -> str:
        """Wait, then kill; what was killed. A worker is waited for a little, so that it is one at work."""
        what = self.random.choice(TARGETS)
        time.sleep(self._moment())
        worker, until = self.server.worker(), time.monotonic() + LONGEST_START
        while what != "web" and worker is None and time.monotonic() < until:
            time.sleep(0.05)
            worker = self.server.worker()
        if what != "web" and worker is not None:
            time.sleep(self._moment())
            try:
                os.kill(worker, signal.SIGKILL)
            except ProcessLookupError:
                worker = None  # it was done
        if what != "worker":
            self.server.kill()
        return what if what == "web" or worker is not None else "web" if what == "both" else "nothing"

    def _moment(self) -> float:
        return LONGEST_ACT * self.random.random() ** 3

    def _look(self, when: str) -> None:
        connections.close_all()
        for sentence in invariants.broken():
            self.faults.add(f"{when}: {sentence}")
        for task in BackgroundTask.objects.filter(message=UNEXPECTED):
            self.faults.add(f"{when}: {task} failed; see {self.server.log}")

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
                self.faults.add(f"{when}: {len(left)} tasks did not go on.")
                break
            time.sleep(0.1)


def _left_by_the_dead() -> dict[int, int]:
    """Tasks in hand of a worker that ended, and how often each was begun."""
    running = BackgroundTask.objects.filter(state=TaskState.RUNNING)
    return {each.pk: each.attempts for each in running if is_alive(each.worker) is False}


sys.stdout.reconfigure(line_buffering=True)  # type: ignore[union-attr]

"""A day of the shop on a clock that is moved on: `python -m tests.load.soak --hours 24`, on its own shop.

Every five minutes of the clock somebody reads and saves, nobody at night; what is due in the background is
done, over midnight too. Prints what grew; status 1 when a page fails, something is not whole, or memory or
open files grow.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.faults import Faults
from tests.own_shop import own_shop

STEP = timedelta(minutes=5)
NIGHT = range(6)
"""Hours in which nobody works: longer than a sign-in stands idle."""
MOST_GROWTH = 1.5
"""Memory at the end to that after a quarter of the time, when everything was looked at once."""
SAVES_ONE_IN = 3


class Day:
    """One person, the program in this process, and a clock that is moved on."""

    def __init__(self, random: Random) -> None:
        from django.test import Client

        from wps.models import Spec

        self.random, self.client = random, Client()
        self.done: Counter[str] = Counter()
        self.faults = Faults()
        self.draft = Spec.objects.filter(state="draft", author__username="maren").order_by("pk")[0].pk

    def step(self, moment: datetime) -> None:
        """What happens in five minutes."""
        from wps import upkeep
        from wps.background import tasks

        if moment.hour not in NIGHT:
            self._work()
        upkeep.queue_what_is_due()
        upkeep.queue_what_came_in()
        self.done["tasks"] += tasks.run_all()

    def _work(self) -> None:
        from tests.load.run import READ

        for path in self.random.sample(READ, 2):
            self._answered(path)
        if self.random.randrange(SAVES_ONE_IN) == 0:
            self._save(f"/procedures/{self.draft}/edit/")

    def _save(self, path: str) -> None:
        from tests.served import Answer

        page = self._answered(path)
        entries = Answer(page.status_code, path, page.content).form(path)
        entries["notes"] = [f"Seen {self.done['saves']} times"]
        answer = self.client.post(path, entries)
        self.done["saves"] += 1
        if answer.status_code != 302:
            self.faults.add(f"saving {path} answered {answer.status_code}")

    def _answered(self, path: str) -> Any:
        answer = self.client.get(path)
        if answer.status_code == 302 and "/sign-in/" in answer["Location"]:
            from wps.demo.people import PASSWORD

            self.client.post("/sign-in/", {"username": "maren", "password": PASSWORD})
            self.done["sign-ins"] += 1
            answer = self.client.get(path)
        self.done["pages"] += 1
        if answer.status_code != 200:
            self.faults.add(f"{path} answered {answer.status_code}")
        return answer


def held() -> tuple[int, int]:
    """Bytes of memory and open files of this process."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE"), len(list(Path("/proc/self/fd").iterdir()))


def run(hours: float, seed: int) -> int:
    """Print what the time took and left; 1 when anything does not hold."""
    import time_machine
    from django.conf import settings

    from tests.crash.invariants import broken
    from wps.models import BackgroundTask, TaskState

    settings.ALLOWED_HOSTS.append("testserver")
    day, steps = Day(Random(seed)), int(hours * timedelta(hours=1) / STEP)
    start, early = datetime.now(UTC).replace(hour=18, minute=0), (0, 0)
    for number in range(steps):
        moment = start + number * STEP
        with time_machine.travel(moment, tick=True):
            day.step(moment)
        if number == steps // 4:
            early = held()
        if number % max(1, steps // 4) == 0:
            day.faults.add(*broken())
            print(f"after {number * STEP}: {dict(day.done)}, {len(day.faults)} faults", flush=True)
    with time_machine.travel(start + steps * STEP, tick=True):
        day.faults.add(*broken())
    failed = BackgroundTask.objects.exclude(state=TaskState.DONE)
    day.faults.add(*(f"{task}: {task.state} {task.message}" for task in failed))
    (memory, files), (memory_before, files_before) = held(), early
    print(f"{hours:g} h of the clock: {dict(day.done)}")
    print(
        f"memory {memory / memory_before:.2f} times that after a quarter; open files {files_before}, {files}"
    )
    if memory > MOST_GROWTH * memory_before or files > files_before:
        day.faults.add("Memory or open files grow.")
    return day.faults.told()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--hours", type=float, default=24.0)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    with own_shop():
        return run(chosen.hours, chosen.seed)


if __name__ == "__main__":
    sys.exit(main())

"""Work that may take longer than a page: handed to the queue the upper app brings, or done at once without
one."""

from __future__ import annotations

from collections.abc import Callable

from qualification.roles import Person
from qualification.waveforms.logs import work_through

Queue = Callable[[str, int, str, str, Person], object]
"""Takes kind, id of the subject, words for what is done, address where its result is seen, and who asked."""

QUEUES: list[Queue] = []
"""The upper app adds its queue when it starts."""
WAVEFORM = "waveform"


def have_worked_through(log_id: int, label: str, back_url: str, person: Person) -> bool:
    """Have a waveform file worked through. False where it was queued, true where it is done already."""
    if not QUEUES:
        work_through(log_id)
        return True
    QUEUES[0](WAVEFORM, log_id, label, back_url, person)
    return False


def waveform(log_id: int, progress: Callable[[int, int], None]) -> None:
    """What the queue calls for a task of the kind `waveform`."""
    progress(0, 1)
    work_through(log_id)
    progress(1, 1)

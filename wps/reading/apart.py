"""Work on a file somebody brought, done in a process of its own that may use so much memory and time and no
more. Whatever a file does to the libraries that read it, this process goes on.

The processes are forked by a small server of the standard library (`forkserver`), which holds the libraries
and nothing of the shop: no database, no threads, no keys.
"""

from __future__ import annotations

import multiprocessing
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from wps.pdf.unreadable import NotReadable

CPU_SECONDS = 60
"""Processor time for each step: for a packet, each of its files is one."""
WALL_SECONDS = 10 * CPU_SECONDS
"""Time for each step on a busy machine."""
MEMORY, MEMORY_PER_BYTE = 1_500_000_000, 8
"""Address space of the process: a base for the libraries, and what each byte of the file may cost."""
ONE_STREAM = 300_000_000
"""Bytes to which one stream of a PDF may unpack."""
BEYOND = (
    "The file takes more time or memory to read than any document needs. It is damaged, or made to do harm."
)
PRELOADED = ["wps.reading.pdf", "wps.reading.papers"]
Progress = Callable[[int, int], None]


def unwatched(done: int, total: int) -> None:
    """Progress nobody asks for."""


def run_apart(work: Callable[..., Any], content: bytes, *args: Any, progress: Progress = unwatched) -> Any:
    """What `work(content, *args, progress)` gives, done in a process of its own; `work` is a function of a
    module without Django. Raises the NotReadable that it raises, and NotReadable beyond a limit."""
    context: Any = multiprocessing.get_context(_method())
    if _method() == "forkserver":
        context.set_forkserver_preload(PRELOADED)
    receiving, sending = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(sending, work, content, args), daemon=True)
    process.start()
    sending.close()
    try:
        return _await(receiving, progress)
    finally:
        receiving.close()
        process.kill()
        process.join()


def _method() -> str:
    return "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"


def _await(receiving: Connection, progress: Progress) -> Any:
    deadline = time.monotonic() + WALL_SECONDS
    while receiving.poll(max(0.0, deadline - time.monotonic())):
        try:
            kind, found = receiving.recv()
        except EOFError as error:  # it was ended by a limit, or fell
            raise NotReadable(BEYOND) from error
        if kind == "progress":
            progress(*found)
            deadline = time.monotonic() + WALL_SECONDS
        elif kind == "refused":
            raise NotReadable(found)
        else:
            return found
    raise NotReadable(BEYOND)


def _work(sending: Connection, work: Callable[..., Any], content: bytes, args: tuple[Any, ...]) -> None:
    """What the process does: keep to the limits, work, and send what came of it."""
    _limit(len(content))

    def progress(done: int, total: int) -> None:
        _allow_time()
        sending.send(("progress", (done, total)))

    try:
        found = ("done", work(content, *args, progress))
    except NotReadable as refused:
        found = ("refused", str(refused))
    except (MemoryError, RecursionError):
        found = ("refused", BEYOND)
    sending.send(found)
    sending.close()


def _limit(size: int) -> None:
    from pikepdf import settings as pikepdf_settings

    pikepdf_settings.set_qpdf_limits(
        flate_max_memory=ONE_STREAM, run_length_max_memory=ONE_STREAM, dct_max_memory=ONE_STREAM
    )
    try:
        import resource
    except ImportError:  # no such limits on this system; the time to wait still holds
        return
    memory = MEMORY + MEMORY_PER_BYTE * size
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    _allow_time()


def _allow_time() -> None:
    try:
        import resource
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    hard = resource.getrlimit(resource.RLIMIT_CPU)[1]
    resource.setrlimit(resource.RLIMIT_CPU, (int(used.ru_utime + used.ru_stime) + CPU_SECONDS, hard))

"""The server as a fork of a process that has read the program: there in a fraction of a second, where a
command reads the program anew. What is killed is a process all the same: its locks, files and connections are
its own.

    harness -- nursery (no thread, no connection) -- server -- maker of workers -- worker
"""

from __future__ import annotations

import ctypes
import os
import select
import signal
import socket
import time
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import NoReturn

from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.db import connections
from django.urls import get_resolver
from waitress import serve

from qualification.rules.editions.loader import edition, editions
from tests.served import Served, children
from wps import worker
from wps.background.tasks import HANDLERS
from wps.documents import vault
from wps.serving.ways import THREADS

PR_SET_CHILD_SUBREAPER = 36
"""Of prctl(2): whose parent died is then a child of the nursery, which lets the system clear it away."""

LINGER_SECONDS, LINGERS_ONE_IN = 2.0, 4
"""How long some papers lie in the vault before their record is stored."""


class Forked(Served):
    """One server after another, each a fork."""

    PAUSE = 0.05

    def __init__(self, log: Path) -> None:
        super().__init__(log)
        self._pid = self._descriptor = 0
        self._nursery = _nursery(log)

    @property
    def is_running(self) -> bool:
        return bool(self._pid) and not select.select([self._descriptor], [], [], 0)[0]

    def _begin(self) -> None:
        if self._pid:
            os.close(self._descriptor)
        self._nursery.sendall(f"{self.port}\n".encode())
        self._pid = int(self._nursery.recv(20))
        self._descriptor = os.pidfd_open(self._pid)

    def worker(self) -> int | None:
        """The process id of its worker, while one runs."""
        return next((each for maker in children(self._pid) for each in children(maker)), None)

    def kill(self) -> None:
        """SIGKILL; its worker goes on by itself."""
        signal.pidfd_send_signal(self._descriptor, signal.SIGKILL)
        select.select([self._descriptor], [], [])

    def stop(self) -> None:
        """End it, and what forks it."""
        if self.is_running:
            self.kill()
        self._nursery.close()


def _nursery(log: Path) -> socket.socket:
    """A process that forks a server for each port it is told, and says its process id."""
    _read_the_program()
    connections.close_all()
    ours, theirs = socket.socketpair()
    if not os.fork():
        ours.close()
        _as_a_process(log, lambda: _nurse(theirs, log))
    theirs.close()
    return ours


def _read_the_program() -> None:
    """What every server and worker would read from files first; nothing of the shop."""
    import weasyprint

    assert get_resolver().url_patterns
    for handler in HANDLERS.values():
        import_module(handler.partition(":")[0])
    for name in editions():
        edition(name)
    weasyprint.HTML(string="<p>1</p>").write_pdf()


def _linger_behind_papers() -> None:
    """Between the name of a paper and its record lie milliseconds, which no kill would ever meet."""
    keep = vault.Incoming.keep

    def slowly(incoming: vault.Incoming, suffix: str = ".pdf") -> str:
        kept = keep(incoming, suffix)
        if os.urandom(1)[0] % LINGERS_ONE_IN == 0:
            time.sleep(LINGER_SECONDS)
        return kept

    vault.Incoming.keep = slowly  # type: ignore[method-assign]


def _nurse(line: socket.socket, log: Path) -> None:
    _linger_behind_papers()
    ctypes.CDLL(None).prctl(PR_SET_CHILD_SUBREAPER, 1)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    while asked := line.recv(20):
        if not (pid := os.fork()):
            line.close()
            _as_a_process(log, lambda: _serve(int(asked), log))
        line.sendall(str(pid).encode())


def _serve(port: int, log: Path) -> None:
    maker = _maker_of_workers(log)

    def run_worker() -> int:
        maker.sendall(b"w")
        return maker.recv(1)[0]

    worker.run_worker = run_worker
    worker._warm_up = lambda: None  # it stores nothing, and takes most of a short life
    application = get_wsgi_application()
    worker.start()
    serve(application, listen=f"127.0.0.1:{port}", threads=THREADS)


def _maker_of_workers(log: Path) -> socket.socket:
    """A child of the server, made before it has threads, that forks a worker when it is asked, answers with
    its status, and goes with the server."""
    ours, theirs = socket.socketpair()
    if not os.fork():
        ours.close()
        _as_a_process(log, lambda: _make_workers(theirs, log))
    theirs.close()
    return ours


def _make_workers(asked: socket.socket, log: Path) -> None:
    server = os.getpid()  # for the worker: the parent whose end it looks out for
    while asked.recv(1):
        if not (pid := os.fork()):
            asked.close()
            _as_a_process(log, lambda: call_command("work", server=server))
        descriptor = os.pidfd_open(pid)
        ended = select.select([descriptor, asked.fileno()], [], [])[0]
        os.close(descriptor)
        if asked.fileno() in ended:
            return  # the server is gone
        _, status = os.waitpid(pid, 0)
        asked.sendall(bytes([status != 0]))


def _as_a_process(log: Path, do: Callable[[], None]) -> NoReturn:
    """Do it as what a child process is there for, and end."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    status = 1
    try:
        with log.open("ab") as stream:
            for descriptor in (1, 2):
                os.dup2(stream.fileno(), descriptor)
        do()
        status = 0
    finally:
        os._exit(status)

"""The program as a server process of its own on this machine, and a visitor who speaks HTTP to it: for what
kills it and what loads it."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from http.client import HTTPException
from http.cookiejar import CookieJar
from pathlib import Path
from typing import IO
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode, urljoin
from urllib.request import HTTPCookieProcessor, HTTPRedirectHandler, OpenerDirector, Request, build_opener

from lxml import html

ROOT = Path(__file__).resolve().parent.parent
GONE = (URLError, HTTPException, ConnectionError, TimeoutError)
"""What a visitor sees of a server that was killed."""
LONGEST_WAIT = 900.0
"""Seconds in which a server has to answer after its start, and a page after it was asked for."""


class Served:
    """One server, and the worker it starts."""

    PAUSE = 0.2
    """Seconds between two looks whether it answers."""

    def __init__(self, log: Path) -> None:
        self.log, self.port = log, _free_port()
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it and wait until it answers."""
        self._begin()
        began = time.monotonic()
        while time.monotonic() - began < LONGEST_WAIT:
            if not self.is_running:
                raise RuntimeError(f"The server ended; see {self.log}.")
            try:
                Visitor(self.address).get("/session/")
            except GONE:
                time.sleep(self.PAUSE)
            else:
                return
        raise RuntimeError(f"The server does not answer; see {self.log}.")

    def _begin(self) -> None:
        stream: IO[bytes] = self.log.open("ab")
        with stream:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", f"--port={self.port}"],
                cwd=ROOT,
                env=dict(os.environ),
                stdout=stream,
                stderr=stream,
            )

    @property
    def is_running(self) -> bool:
        return self.process is not None and self.process.poll() is None

    def worker(self) -> int | None:
        """The process id of the worker it started, while one runs."""
        assert self.process is not None
        return next(iter(children(self.process.pid)), None)

    def kill(self) -> None:
        """SIGKILL, as by a power cut; its worker goes on by itself."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def stop(self) -> None:
        """End it as Ctrl+C does."""
        if self.process is not None and self.is_running:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(30)
            except subprocess.TimeoutExpired:
                self.kill()


def children(pid: int) -> list[int]:
    """The process ids of its children, by the threads that started them; none of a process that ended."""
    found = []
    for path in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            found += [int(each) for each in path.read_text().split()]
        except (FileNotFoundError, ProcessLookupError):
            continue  # the thread ended meanwhile
    return found


@dataclass(frozen=True)
class Answer:
    """What came back at the end of all redirects, or before the first; then its address is where it leads."""

    status: int
    address: str
    body: bytes

    def form(self, ending: str) -> dict[str, list[str]]:
        """The entries of the first form whose address ends so, as they stand."""
        page = html.document_fromstring(self.body)
        form = next(each for each in page.forms if (each.get("action") or self.address).endswith(ending))
        found: dict[str, list[str]] = {}
        for name, value in form.form_values():
            found.setdefault(name, []).append(value)
        return found


class Visitor:
    """Somebody with a browser's cookies."""

    def __init__(self, address: str) -> None:
        self.address, self.cookies = address, CookieJar()
        self._opener = build_opener(HTTPCookieProcessor(self.cookies))
        self._staying = build_opener(HTTPCookieProcessor(self.cookies), _Stay())

    def sign_in(self, name: str, password: str) -> Visitor:
        """Sign in, and return this visitor."""
        self.get("/sign-in/")
        came = self.post("/sign-in/", {"username": name, "password": password})
        assert "/sign-in/" not in came.address, f"{name} cannot sign in"
        return self

    def get(self, path: str) -> Answer:
        """One page."""
        return self._opened(Request(self.address + path))

    def post(self, path: str, entries: Mapping[str, str | list[str]], *, follow: bool = True) -> Answer:
        """Send a form, and go where the answer leads unless told not to."""
        token = next((each.value or "" for each in self.cookies if each.name == "csrftoken"), "")
        sent = urlencode({**entries, "csrfmiddlewaretoken": token}, doseq=True).encode()
        request = Request(self.address + path, sent)
        if follow:
            return self._opened(request)
        came = self._opened(request, self._staying)
        for each in [each for each in self.cookies if each.name == "messages"]:
            self.cookies.clear(each.domain, each.path, each.name)  # what the page left unread would say
        return came

    def _opened(self, request: Request, opener: OpenerDirector | None = None) -> Answer:
        try:
            with (opener or self._opener).open(request, timeout=LONGEST_WAIT) as answer:
                return Answer(answer.status, answer.url, answer.read())
        except HTTPError as refused:
            with refused:
                leads = urljoin(refused.url, refused.headers.get("Location", ""))
                return Answer(refused.code, leads, refused.read())


class _Stay(HTTPRedirectHandler):
    def redirect_request(self, *asked: object) -> None:
        """None: the answer is given back as it is."""


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]

"""The ways to serve: the server's own options for each, and what keeps the program from being shared."""

from __future__ import annotations

import socket
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings

from qualification.models import Shop
from qualification.server_address import own_addresses
from wps.demo.people import standing_sign_ins
from wps.serving.certificates import ServerFiles, server_files

APPLICATION = "wps.wsgi:application"
THREADS = 6
THREADS_SHARED = 12
THIS_MACHINE = "127.0.0.1"


class CannotServe(Exception):
    """Why the program is not served in that way, and what to do."""


@dataclass(frozen=True)
class ServerCommand:
    """A command that serves, what it needs in its environment, and the address people open."""

    command: list[str]
    environment: dict[str, str]
    address: str
    replaces_authority: bool = False
    is_reached_from_outside: bool = True


def port_of(text: str, host: str = THIS_MACHINE) -> int:
    """The port, when it is a number and free. Raises CannotServe."""
    if not (text.isascii() and text.isdigit() and 0 < int(text) < 65536):
        raise CannotServe(f"PORT is {text!r}. Set it to a number from 1 to 65535.")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, int(text)))
        except OSError as error:
            raise CannotServe(
                f"Port {text} cannot be used ({error.strerror}). Choose another: PORT=8010 ./run"
            ) from error
    return int(text)


def on_this_machine(port: int, environment: Mapping[str, str]) -> ServerCommand:
    """Waitress on this machine alone. Behind a server in front (CTP_HTTPS) it believes what that one says of
    the address a request came from and went to, and nobody else."""
    proxy = environment.get("CTP_PROXY", "").strip()
    host = environment.get("CTP_LISTEN", "").strip() or THIS_MACHINE
    command = [sys.executable, "-m", "waitress", f"--listen={host}:{port}", f"--threads={THREADS}"]
    if settings.BEHIND_PROXY:
        command += [
            f"--trusted-proxy={proxy or THIS_MACHINE}",
            "--trusted-proxy-count=1",
            "--trusted-proxy-headers=x-forwarded-for x-forwarded-proto x-forwarded-host",
            "--clear-untrusted-proxy-headers",
        ]
    outside = is_reached_from_outside(environment)
    return ServerCommand(
        [*command, APPLICATION], {}, f"http://{host}:{port}", is_reached_from_outside=outside
    )


def is_reached_from_outside(environment: Mapping[str, str]) -> bool:
    """Whether others than this machine reach what is served with that environment."""
    host = environment.get("CTP_LISTEN", "").strip() or THIS_MACHINE
    return bool(settings.BEHIND_PROXY or settings.SHARED_AT or host != THIS_MACHINE)


def to_the_network(port: int, environment: Mapping[str, str]) -> ServerCommand:
    """Gunicorn with HTTPS for the shop's network. Raises CannotServe."""
    if names := standing_sign_ins():
        raise CannotServe(
            f"The demo passwords still open this shop ({', '.join(names)}), and anybody in the network could"
            " use them. Change them or switch these sign-ins off under Shop, People, or start a shop of your"
            " own: CTP_DATA=another-folder ./run --share"
        )
    names = names_of_this_machine()
    files = server_files(Path(settings.HTTPS_DIR), Shop.current().name, names)
    address = settings.ADDRESS or f"https://{names[0]}:{port}"
    more = {
        "CTP_SHARED_AT": address,
        "CTP_HOSTS": ",".join([environment.get("CTP_HOSTS", ""), *names]).strip(","),
    }
    return ServerCommand(_gunicorn(port, files), more, address, files.replaces_authority)


def _gunicorn(port: int, files: ServerFiles) -> list[str]:
    options = {
        "worker-class": "gthread",
        "workers": "1",
        "threads": str(THREADS_SHARED),
        "bind": f"0.0.0.0:{port}",
        "certfile": str(files.certificate),
        "keyfile": str(files.key),
        "limit-request-line": "8190",
        "keep-alive": "15",
        "timeout": "300",
        "log-level": "warning",
    }
    stated = [f"--{name}={value}" for name, value in options.items()]
    return [sys.executable, "-m", "gunicorn", *stated, "--no-control-socket", APPLICATION]


def names_of_this_machine() -> list[str]:
    """Under which others reach this machine, the likeliest first: what whoever runs the server named, its
    addresses, its host name."""
    local = {"localhost", THIS_MACHINE, "[::1]"}
    named = [host.lstrip(".") for host in settings.ALLOWED_HOSTS if host not in local and host != "*"]
    stated = urlsplit(settings.ADDRESS).hostname
    host = socket.gethostname()
    found = [
        *([stated] if stated else []),
        *named,
        *(each for each in own_addresses() if not each.startswith("127.")),
        *([host, host if "." in host else f"{host}.local"] if host else []),
        "localhost",
        THIS_MACHINE,
    ]
    return [str(each) for each in dict.fromkeys(found)]

"""A shop of a harness's own: a folder, and where `DATABASE_URL` names a server, a database there."""

from __future__ import annotations

import os
import secrets
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit


@contextmanager
def own_shop(has_demo: bool = True) -> Iterator[Path]:
    """Set Django up on a new shop, the demo or an empty one; its folder. Database and folder are removed
    afterwards."""
    server = os.environ.get("DATABASE_URL", "")
    name = f"harness_{secrets.token_hex(4)}"
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        os.environ |= {"CTP_DATA": folder, "DJANGO_SETTINGS_MODULE": "wps.settings", "CTP_TIME_ZONE": "UTC"}
        if server:
            _told(server, f'CREATE DATABASE "{name}"')
            os.environ["DATABASE_URL"] = urlsplit(server)._replace(path=f"/{name}").geturl()
        try:
            _made(has_demo)
            yield Path(folder)
        finally:
            if server:
                from django.db import connections

                connections.close_all()
                _told(server, f'DROP DATABASE "{name}" WITH (FORCE)')


def _made(has_demo: bool) -> None:
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0, without_backup=True)
    if has_demo:
        call_command("demo", verbosity=0)


def _told(server: str, command: str) -> None:
    import psycopg

    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(command)  # type: ignore[call-overload]

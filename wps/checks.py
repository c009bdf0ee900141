"""System checks: each mistake in the set-up gets a sentence on how to mend it."""

import os
import zoneinfo
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register

from wps.conditions import BAD, GOOD, conditions


@register(Tags.security)
def data_folder_is_writable(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """The folder for the database, the uploads and the secret key must be writable and private."""
    folder = Path(settings.LOCAL_DIR)
    problems: list[CheckMessage] = []
    if not os.access(folder, os.W_OK | os.X_OK):
        problems.append(
            Error(
                f"The data folder {folder} cannot be written to.",
                hint="Let the account that runs the program write there, or set CTP_DATA to another folder.",
                id="wps.E001",
            )
        )
    key = folder / "secret_key"
    if key.exists() and key.stat().st_mode & 0o077:
        problems.append(
            Warning(
                "The secret key can be read by other accounts of this machine.",
                hint=f"Run: chmod 600 {key}",
                id="wps.W001",
            )
        )
    return problems


@register()
def time_zone_is_known(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Dates on records are the shop's own dates, so the zone must be one the system knows."""
    if settings.TIME_ZONE in zoneinfo.available_timezones():
        return []
    return [
        Error(
            f"CTP_TIME_ZONE is {settings.TIME_ZONE!r}, which is not a known time zone.",
            hint="Use a name such as Europe/Amsterdam or America/Chicago.",
            id="wps.E002",
        )
    ]


@register(Tags.security)
def open_hosts_need_https(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Passwords must not cross a network unencrypted."""
    local = {"localhost", "127.0.0.1", "[::1]", "testserver"}
    others = [host for host in settings.ALLOWED_HOSTS if host not in local]
    if others and not settings.HTTPS:
        return [
            Warning(
                f"The program answers to {', '.join(others)} without HTTPS.",
                hint="Put it behind a server that does HTTPS and set CTP_HTTPS=1.",
                id="wps.W002",
            )
        ]
    return []


@register(deploy=True)
def the_computer_is_in_order(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """What the page “State of the computer” says, for whoever runs the server."""
    return [
        (Error if each.state == BAD else Warning)(
            f"{each.what}: {each.words}", id="wps.E003" if each.state == BAD else "wps.W003"
        )
        for each in conditions()
        if each.state != GOOD
    ]

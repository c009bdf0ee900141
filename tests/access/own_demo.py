"""A demo shop of a command's own, and somebody in it who may do everything."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.test import Client


def demo_client(folder: Path) -> Client:
    """Sets Django up on the folder, loads the demo shop and signs in. Nothing of Django may be loaded yet."""
    os.environ |= {"CTP_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "wps.settings"}
    os.environ.pop("DATABASE_URL", None)
    import django

    django.setup()
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.test import Client

    from qualification.roles import APPROVER, AUTHOR, READER, grant_roles

    settings.ALLOWED_HOSTS.append("testserver")
    call_command("migrate", verbosity=0)
    call_command("demo", verbosity=0)
    person = User.objects.get(username="hedda")
    grant_roles(person, [AUTHOR, APPROVER, READER])
    client = Client()
    client.force_login(person)
    return client

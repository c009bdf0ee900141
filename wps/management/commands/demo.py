"""`manage.py demo`: load the invented demo shop into an empty database."""

from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand
from django.db import transaction

from qualification.models import Shop
from qualification.roles import grant_roles
from wps.demo.load import EDITION, load_records
from wps.demo.people import PASSWORD, PEOPLE, standing_sign_ins

SHOP = {
    "name": "Tidewater Gangway Works",
    "address": "14 Slipway Lane\nNorth Quay\nPort Ellery",
    "phone": "555 0142",
    "email": "welding@tidewater-gangway.example",
    "responsible_person": "Tobias Quell, welding coordinator",
    "code_edition": EDITION,
}


class Command(BaseCommand):
    help = "Load the invented demo shop. A database that already has people of its own is left as it is."

    def handle(self, *args: Any, **options: Any) -> None:
        if not User.objects.exists():
            with transaction.atomic():
                load_demo_shop()
            self.stdout.write("The demo shop is loaded.")
        self.print_sign_ins()

    def print_sign_ins(self) -> None:
        """Say how to sign in, for those demo people who still have the demo password."""
        standing = standing_sign_ins()
        lines = [
            f"  {name:8} {', '.join(roles) or 'shop administrator'}"
            for name, _first, _last, roles, _is_administrator in PEOPLE
            if name in standing
        ]
        if lines:
            self.stdout.write(f"Demo sign-ins, each with the password {PASSWORD}:")
            self.stdout.write("\n".join(lines))


def load_demo_shop() -> None:
    """Create the shop, its people and its records. Call inside a transaction, on a database without
    people."""
    Shop(pk=Shop.ONLY_ID, **SHOP).save()
    for name, first, last, roles, is_administrator in PEOPLE:
        person = User(username=name, first_name=first, last_name=last, is_superuser=is_administrator)
        person.set_password(PASSWORD)
        person.save()
        grant_roles(person, roles)
    load_records(User.objects.get(username="maren"), User.objects.get(username="tobias"))

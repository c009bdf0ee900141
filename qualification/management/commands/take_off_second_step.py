"""`manage.py take_off_second_step NAME`: for the shop administrator who lost phone and recovery codes."""

from typing import Any

from django.contrib.auth.models import User
from django.core.management.base import BaseCommand, CommandError, CommandParser

from qualification.records.audit_people import second_step_changed
from qualification.second_step import take_off


class Command(BaseCommand):
    help = "Lets somebody sign in by password alone again."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the sign-in name")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = User.objects.filter(username__iexact=name).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {name}. The names stand under Shop, People.")
        if not take_off(person):
            raise CommandError(f"{person.username} has no second step.")
        second_step_changed(person, None, on=False)
        self.stdout.write(f"{person.username} signs in by password alone from now on.")

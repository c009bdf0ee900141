"""`manage.py first_address`: where the first shop administrator is made."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from qualification.first_visit import first_address, nobody_yet


class Command(BaseCommand):
    help = "Prints the address at which the first shop administrator is made; nothing once there are people."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--server",
            default="http://127.0.0.1:8000",
            help="where the program is served, without a slash at the end",
        )

    def handle(self, *args: Any, server: str, **options: Any) -> None:
        if nobody_yet():
            self.stdout.write(
                "Nobody can sign in yet. Make the first shop administrator at\n "
                f" {server.rstrip('/')}{first_address()}"
            )

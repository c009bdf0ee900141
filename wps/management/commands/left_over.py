"""`manage.py left_over`: files of the vault that belong to no record, and their removal."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.documents.left_over import VaultInUse, clear_left_over, left_over


class Command(BaseCommand):
    help = (
        "Lists files of papers that belong to no record: written when the computer stopped, and made again"
        " afterwards. With --remove takes them away and notes it in the audit trail."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--remove", action="store_true", help="take them away")

    def handle(self, *args: Any, remove: bool, **options: Any) -> None:
        try:
            found, kept = clear_left_over("Command line") if remove else (left_over(), [])
        except VaultInUse as busy:
            raise CommandError(str(busy)) from busy
        for each in found:
            self.stdout.write(f"{each.path.name} {each.size / 1e6:.2f} MB{' removed' if remove else ''}")
        for each in kept:
            self.stdout.write(
                f"{each.path.name} stays: it names an end that the audit trail does not have. Run manage.py"
                " audit, and see that the right database is connected."
            )
        if not found and not kept:
            self.stdout.write("No file is left over.")

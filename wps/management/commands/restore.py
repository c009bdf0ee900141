"""`manage.py restore FILE`: the shop of a backup in the place of this one."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.backups.checking import BadBackup
from wps.backups.locked import WrongPassphrase
from wps.backups.passphrases import add_argument, passphrase_for
from wps.backups.restoring import CannotRestore, restore


class Command(BaseCommand):
    help = "Checks a backup as `backup --verify` does, then puts it in the place of this shop's data."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the backup")
        parser.add_argument(
            "--replace", action="store_true", help="also where there is a shop; its data are kept beside"
        )
        add_argument(parser)

    def handle(self, *args: Any, file: Path, replace: bool, **options: Any) -> None:
        try:
            passphrase = passphrase_for(file.absolute(), options["passphrase_file"])
            backup, before = restore(file.absolute(), passphrase, over_a_shop=replace)
        except (BadBackup, CannotRestore, WrongPassphrase, OSError) as error:
            raise CommandError(str(error)) from error
        said = [
            f"The shop is back: {backup.files} files and {backup.rows:,} rows, made by {backup.made_by}.",
            *backup.said,
            f"What was here before lies in {before}; remove that folder once all is well.",
            "Start the program again: ./run",
        ]
        self.stdout.write("\n".join(said))

"""`manage.py backup FILE`: the whole shop in one file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.backup import TOP, CannotBackUp, back_up


class Command(BaseCommand):
    help = "Writes database, uploads, documents and keys to one .tar.gz file, also while the program runs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "file", type=Path, help="where to write it, such as /media/stick/shop-2031-03-04.tar.gz"
        )

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            names = back_up(file.absolute())
        except (CannotBackUp, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{file}: {len(names)} entries, {file.stat().st_size / 1e6:.1f} MB. It holds the shop's keys:"
            f" keep it where only the shop can read it.\nTo come back to it: tar xzf {file}, then"
            f" CTP_DATA=$PWD/{TOP} ./run"
        )

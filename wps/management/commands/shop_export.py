"""`manage.py shop_export FILE`: the whole shop as one file of open formats."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.outside.shop_file import CannotExport, export_shop


class Command(BaseCommand):
    help = "Writes every record as JSON and every paper, with the hash of each, to one .zip."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the .zip to write")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            counts = export_shop(file.absolute())
        except CannotExport as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(
            f"{sum(counts.values()):,} rows are in {file}. It holds keys and hashes of passwords: keep it as"
            " safe as a backup."
        )

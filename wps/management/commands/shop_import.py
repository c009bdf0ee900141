"""`manage.py shop_import FILE`: a whole shop from its file, into an empty database."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.outside.shop_in import CannotImport, import_shop


class Command(BaseCommand):
    help = (
        "Checks a file of `shop_export`, then stores the shop whole or not at all; only where there is none."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the .zip of shop_export")
        parser.add_argument("--dry-run", action="store_true", help="try it, and store nothing")

    def handle(self, *args: Any, file: Path, dry_run: bool, **options: Any) -> None:
        try:
            brought = import_shop(file.absolute(), dry_run=dry_run)
        except CannotImport as refused:
            raise CommandError(str(refused)) from refused
        said = f"{sum(brought.rows.values()):,} rows and {brought.files} files"
        if brought.is_here:
            self.stdout.write(f"This file was imported before ({said}); nothing was done.")
        elif dry_run:
            self.stdout.write(f"It can be imported: {said}. Nothing was stored.")
        else:
            self.stdout.write(f"The shop is here: {said}. Check its trail with manage.py audit.")

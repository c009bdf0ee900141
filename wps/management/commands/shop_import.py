"""`manage.py shop_import FILE`: a whole shop from its file or from a backup, into an empty database."""

import zipfile
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.backups.checking import BadBackup
from wps.backups.locked import WrongPassphrase
from wps.backups.passphrases import add_argument, passphrase_for
from wps.documents.trail import check_shop_trail
from wps.outside.shop_in import CannotImport, import_backup, import_shop


class Command(BaseCommand):
    help = (
        "Checks a file of `shop_export`, then stores the shop whole or not at all; only where there is none."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path, help="the .zip of shop_export, or a backup")
        parser.add_argument("--dry-run", action="store_true", help="try it, and store nothing")
        add_argument(parser)

    def handle(self, *args: Any, file: Path, dry_run: bool, **options: Any) -> None:
        try:
            if zipfile.is_zipfile(file):
                brought = import_shop(file.absolute(), dry_run=dry_run)
            else:
                passphrase = passphrase_for(file.absolute(), options["passphrase_file"])
                brought = import_backup(file.absolute(), passphrase, dry_run=dry_run)
        except (CannotImport, BadBackup, WrongPassphrase, OSError) as refused:
            raise CommandError(str(refused)) from refused
        said = f"{sum(brought.rows.values()):,} rows and {brought.files} files"
        if brought.is_here:
            self.stdout.write(f"This file was imported before ({said}); nothing was done.")
        elif dry_run:
            self.stdout.write(f"It can be imported: {said}. Nothing was stored.")
        else:
            report = check_shop_trail()
            self.stdout.write(f"The shop is here: {said}.")
            if not report.holds:
                raise CommandError(" ".join(report.sentences))
            self.stdout.write(" ".join(report.sentences))

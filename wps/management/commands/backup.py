"""`manage.py backup FILE`: the whole shop in one file; `--verify` checks such a file."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.backups import checking, locked
from wps.backups.archive import CannotBackUp, back_up
from wps.backups.passphrases import add_argument, passphrase_for
from wps.backups.schedule import note
from wps.documents.trail import check_shop_trail


class Command(BaseCommand):
    help = (
        "Writes database, uploads, documents and keys to one .tar.gz file, also while the program runs; with"
        " --verify checks such a file instead."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "file", type=Path, help="where to write it, such as /media/stick/shop-2031-03-04.tar.gz"
        )
        parser.add_argument("--verify", action="store_true", help="check the file; nothing is changed")
        parser.add_argument(
            "--locked", action="store_true", help="lock it with the passphrase set under Shop, Backups"
        )
        add_argument(parser)

    def handle(self, *args: Any, file: Path, verify: bool, **options: Any) -> None:
        if verify:
            self._verify(file.absolute(), options["passphrase_file"])
            return
        try:
            names = self._write(file.absolute(), bool(options["locked"]))
        except (CannotBackUp, OSError) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(
            f"{file}: {len(names)} entries, {file.stat().st_size / 1e6:.1f} MB. It holds the shop's keys:"
            f" keep it where only the shop can read it.\nTo come back to it: manage.py restore {file}"
        )
        note(file.name, "Command line")
        report = check_shop_trail()
        self.stdout.write("\n".join(report.sentences))
        if not report.holds:
            raise CommandError(
                "The backup is made, but the audit trail in it does not hold. Keep the one before."
            )

    def _write(self, target: Path, is_locked: bool) -> list[str]:
        if not is_locked:
            return back_up(target)
        if not locked.has_key():
            raise CannotBackUp("No passphrase is set. An administrator sets one under Shop, Backups.")
        if target.exists():
            raise CannotBackUp(f"{target} is there already. Name another file.")
        plain = target.with_name(f"{target.name}.plain")
        try:
            names = back_up(plain)
            locked.lock(plain, target)
        finally:
            plain.unlink(missing_ok=True)
        return names

    def _verify(self, file: Path, passphrase_file: Path | None) -> None:
        try:
            passphrase = passphrase_for(file, passphrase_file)
            with checking.opened(file, passphrase, Path(settings.LOCAL_DIR)) as backup:
                checking.check(backup)
        except (checking.BadBackup, locked.WrongPassphrase, OSError) as error:
            raise CommandError(str(error)) from error
        if backup.problems:
            raise CommandError("\n".join(["The backup does not hold.", *backup.problems]))
        self.stdout.write(
            "\n".join(
                [
                    f"The backup is whole: {backup.files} files and {backup.rows:,} rows, made by"
                    f" {backup.made_by}.",
                    *backup.said,
                ]
            )
        )

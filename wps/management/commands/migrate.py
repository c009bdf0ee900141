"""`manage.py migrate`: Django's own, after a backup, and not over the database of a newer program."""

from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.core.management.commands.migrate import Command as Migrate
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from wps.backups.archive import CannotBackUp
from wps.backups.checking import database_is_here, is_newer
from wps.backups.schedule import before_upgrade


class Command(Migrate):
    help = "Brings the database to this release; backs the shop up before, where there is one."

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--without-backup", action="store_true", help="make no backup before")

    def handle(self, *args: Any, without_backup: bool = False, **options: Any) -> Any:
        applied = list(MigrationRecorder(connection).applied_migrations())
        if problem := is_newer(applied):
            raise CommandError(problem)
        if applied and not without_backup and database_is_here() and _something_to_do():
            try:
                made = before_upgrade()
            except (CannotBackUp, OSError) as error:
                raise CommandError(f"Nothing was changed: the backup before it failed. {error}") from error
            self.stdout.write(f"Backed up before the upgrade: {made}")
        return super().handle(*args, **options)


def _something_to_do() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))

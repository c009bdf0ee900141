"""Notes which rows have to be read again for the search: triggers of the database, on SQLite and PostgreSQL,
so that what comes in by thousands or past the program is found like anything else.

They are put in place after each migration, since one that makes a table anew takes them away; what was there
before them is noted then.
"""

from __future__ import annotations

from django.apps import AppConfig
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from wps.find.texts import READERS
from wps.models import SearchDue, SearchEntry

DUE, ENTRIES = SearchDue._meta.db_table, SearchEntry._meta.db_table
_NOTE = f'INSERT INTO {DUE} ("table", "row") VALUES'
_FUNCTION = (
    "CREATE OR REPLACE FUNCTION note_for_search() RETURNS trigger AS $note$ BEGIN"
    f" IF TG_OP = 'DELETE' THEN {_NOTE} (TG_TABLE_NAME, OLD.id) ON CONFLICT DO NOTHING;"
    f" ELSE {_NOTE} (TG_TABLE_NAME, NEW.id) ON CONFLICT DO NOTHING; END IF;"
    " RETURN NULL; END $note$ LANGUAGE plpgsql"
)


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers in place; harmless where they are already."""
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        if DUE not in there or not there.issuperset(READERS):
            return
        if connection.vendor == "postgresql":
            cursor.execute(_FUNCTION)
        for table in READERS:
            for statement in _statements(connection.vendor, table):
                cursor.execute(statement)
        cursor.execute(f"SELECT count(*) FROM {ENTRIES}")
        if cursor.fetchone()[0] == 0:
            for table in READERS:
                cursor.execute(
                    f'INSERT INTO {DUE} ("table", "row") SELECT \'{table}\', id FROM {table} WHERE true'
                    " ON CONFLICT DO NOTHING"
                )


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away, to go back to before there was a search."""
    with connection.cursor() as cursor:
        for table in READERS:
            for event in ("insert", "update", "delete"):
                on = f" ON {table}" if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {_name(table, event)}{on}")


def after_migrations(app_config: AppConfig, using: str, **more: object) -> None:
    """Receiver of `post_migrate`."""
    install(connections[using])


def _name(table: str, event: str) -> str:
    return f"find_{table}_{event}"


def _statements(vendor: str, table: str) -> list[str]:
    found = []
    for event, row in (("insert", "NEW"), ("update", "NEW"), ("delete", "OLD")):
        name = _name(table, event)
        if vendor == "postgresql":
            found += [
                f"DROP TRIGGER IF EXISTS {name} ON {table}",
                f"CREATE TRIGGER {name} AFTER {event.upper()} ON {table}"
                " FOR EACH ROW EXECUTE FUNCTION note_for_search()",
            ]
        elif vendor == "sqlite":
            found.append(
                f"CREATE TRIGGER IF NOT EXISTS {name} AFTER {event.upper()} ON {table} BEGIN"
                f" {_NOTE} ('{table}', {row}.id) ON CONFLICT DO NOTHING; END"
            )
    return found

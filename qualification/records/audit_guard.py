"""The database's own guard over the audit trail: triggers that refuse to change or delete an entry, whoever
tries, on SQLite and on PostgreSQL."""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "qualification_auditentry"
CHANGED, DELETED = "Audit entries cannot be changed.", "Audit entries cannot be deleted."
NAMES = {"audit_entries_stay", "audit_entries_remain"}
INSTALL = {
    "sqlite": (
        f"CREATE TRIGGER IF NOT EXISTS audit_entries_stay BEFORE UPDATE ON {TABLE}"
        f" BEGIN SELECT RAISE(ABORT, '{CHANGED}'); END",
        f"CREATE TRIGGER IF NOT EXISTS audit_entries_remain BEFORE DELETE ON {TABLE}"
        f" BEGIN SELECT RAISE(ABORT, '{DELETED}'); END",
    ),
    "postgresql": (
        "CREATE OR REPLACE FUNCTION refuse_audit_change() RETURNS trigger AS $refuse$"
        f" BEGIN RAISE EXCEPTION '{CHANGED}'; END $refuse$ LANGUAGE plpgsql",
        "CREATE OR REPLACE FUNCTION refuse_audit_deletion() RETURNS trigger AS $refuse$"
        f" BEGIN RAISE EXCEPTION '{DELETED}'; END $refuse$ LANGUAGE plpgsql",
        f"DROP TRIGGER IF EXISTS audit_entries_stay ON {TABLE}",
        f"CREATE TRIGGER audit_entries_stay BEFORE UPDATE ON {TABLE}"
        " FOR EACH STATEMENT EXECUTE FUNCTION refuse_audit_change()",
        f"DROP TRIGGER IF EXISTS audit_entries_remain ON {TABLE}",
        f"CREATE TRIGGER audit_entries_remain BEFORE DELETE OR TRUNCATE ON {TABLE}"
        " FOR EACH STATEMENT EXECUTE FUNCTION refuse_audit_deletion()",
    ),
}
REMOVE = {
    "sqlite": ("DROP TRIGGER IF EXISTS audit_entries_stay", "DROP TRIGGER IF EXISTS audit_entries_remain"),
    "postgresql": (
        f"DROP TRIGGER IF EXISTS audit_entries_stay ON {TABLE}",
        f"DROP TRIGGER IF EXISTS audit_entries_remain ON {TABLE}",
    ),
}
FIND = {
    "sqlite": f"SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = '{TABLE}'",
    "postgresql": (
        f"SELECT tgname FROM pg_trigger WHERE tgrelid = '{TABLE}'::regclass AND NOT tgisinternal"
        " AND tgenabled <> 'D'"
    ),
}


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the guard in place; harmless where it is already."""
    _run(connection, INSTALL[connection.vendor])


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the guard away: to go back to before it, and to empty a test's database."""
    _run(connection, REMOVE[connection.vendor])


def is_in_place(connection: BaseDatabaseWrapper) -> bool:
    """True while the database refuses both."""
    with connection.cursor() as cursor:
        cursor.execute(FIND[connection.vendor])
        return {name for (name,) in cursor.fetchall()} >= NAMES


def _run(connection: BaseDatabaseWrapper, statements: tuple[str, ...]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)

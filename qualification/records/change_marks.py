"""Whether anything stored has changed since: a mark that the database itself draws anew at every change.

On SQLite triggers write it (`ChangeMark`), so that a change past the program counts as well; they are put in
place after each migration, since one that makes a table anew takes them away. On PostgreSQL the snapshot of
transactions says the same without a lock. Where neither can be told there is no mark, and nothing is kept.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import Any

from django.apps import AppConfig, apps
from django.db import connections
from django.db import models as django_models
from django.db.backends.base.base import BaseDatabaseWrapper

from qualification.models.change_mark import ChangeMark

APPS = ("qualification", "wps")
MARKS = ChangeMark._meta.db_table
AUDIT = "qualification_auditentry"
USES = "qualification_processuse"
TEST_OF_ACT = "(SELECT welder_id FROM qualification_weldertest WHERE id = {row}.test_id)"
APPROVED = "(SELECT welder_id FROM {table} WHERE id = {{row}}.record_id AND {{row}}.record_kind = '{kind}')"
OF_A_WELDER = {
    USES: (USES, "{row}.welder_id"),
    "qualification_welder": ("welder", "{row}.id"),
    "qualification_weldertest": ("welder", "{row}.welder_id"),
    "qualification_proceduretest": ("welder", "{row}.welder_id"),
    "qualification_validityact": ("welder", TEST_OF_ACT),
}
"""Tables with a mark for each welder beside their own, and whose it is: what is stored of one leaves what was
worked out of the others. The log of uses has marks apart from all else."""
OF_AN_APPROVAL = tuple(
    ("welder", APPROVED.format(table=table, kind=kind))
    for table, kind in (
        ("qualification_weldertest", "welder test"),
        ("qualification_proceduretest", "procedure test"),
    )
)
"""The same for an approval in the audit trail; any other change of the trail counts for everybody."""
TRAIL_CHANGED = f"{AUDIT}/changed"
TRIGGERS = "triggers"
"""Drawn anew whenever a trigger was not in place: what happened meanwhile was seen by none."""
FOR_EVERY_WELDER = frozenset(
    {
        TRIGGERS,
        TRAIL_CHANGED,
        "qualification_tablecheck",
        "qualification_codedecision",
        "qualification_ownedition",
    }
)
"""Marks beside those of one welder that decide how the welder's qualifications stand: the tables of the code
with the shop's checks and decisions."""
IDLE: set[str] = {
    "qualification_trial",
    "qualification_trialpass",
    "qualification_trialphoto",
    "qualification_triallog",
    "qualification_origin",
    "qualification_passkey",
    "qualification_passworddue",
    "qualification_keptstandings",
}
"""Tables that decide nothing about what is qualified. The upper app adds its own; a table nobody names
counts."""

UNWATCHED: set[str] = set()
"""Tables that are worked out of others and fill by thousands of rows; the upper app names its own."""

Marks = frozenset[tuple[str, str]]


def tables() -> list[str]:
    """The tables that are watched."""
    models: Iterable[type[django_models.Model]] = (
        model for app in APPS for model in apps.get_app_config(app).get_models(include_auto_created=True)
    )
    names = [model._meta.db_table for model in models if model is not ChangeMark]
    return [name for name in names if name not in UNWATCHED]


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers in place. Marks stay where every trigger of their table was there already."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        if MARKS in there:
            stored = _stored_triggers(cursor)
            for statement in _statements(there, stored):
                cursor.execute(statement)
    _in_place.clear()


def _stored_triggers(cursor: Any) -> dict[str, str]:
    cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    return dict(cursor.fetchall())


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away, to go back to before there were marks."""
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        for table in tables():
            for trigger, _ in _triggers(table):
                cursor.execute(f"DROP TRIGGER IF EXISTS {trigger}")
    _in_place.clear()


def after_migrations(app_config: AppConfig, using: str, **more: Any) -> None:
    """Receiver of `post_migrate`."""
    install(connections[using])


def mark_of(
    connection: BaseDatabaseWrapper,
    only: frozenset[str] | None = None,
    without: frozenset[str] = frozenset(),
) -> Hashable | None:
    """The same as long as nothing changes that decides what is qualified, or in the tables named `only`;
    changes `without` are left out. `None` where that cannot be told. Read it before what is worked out of the
    database."""
    found = marks(connection)
    return found if found is None or isinstance(found, str) else _of_tables(found, only, without)


def marks_of_welders(
    connection: BaseDatabaseWrapper, welders: Sequence[int]
) -> tuple[Hashable, dict[int, str]] | None:
    """A mark of everything but the logs of uses, and one for the log of each welder."""
    found = marks(connection)
    if found is None or isinstance(found, str):
        return None if found is None else (found, dict.fromkeys(welders, ""))
    known = dict(found)
    shared = _of_tables(found, None, frozenset({USES}))
    return shared, {pk: known.get(f"{USES}/{pk}", "") for pk in welders}


def marks_of_standings(connection: BaseDatabaseWrapper, welders: Sequence[int]) -> dict[int, str] | None:
    """For each welder a mark that stays the same as long as nothing changes that decides how the welder's
    qualifications stand, in this process or another. `None` where that cannot be told."""
    found = marks(connection)
    if found is None or isinstance(found, str):
        return None
    known = dict(found)
    shared = "".join(known.get(name, "-") for name in sorted(FOR_EVERY_WELDER))
    return {pk: f"{shared}{known.get(f'{USES}/{pk}', '-')}{known.get(f'welder/{pk}', '-')}" for pk in welders}


def _of_tables(found: Marks, only: frozenset[str] | None, without: frozenset[str]) -> Marks:
    if only is not None:
        return frozenset(each for each in found if each[0] in only)
    left_out = IDLE | without
    return frozenset(each for each in found if each[0] not in left_out and "/" not in each[0])


def marks(connection: BaseDatabaseWrapper) -> Marks | str | None:
    """Every mark of the database, or one for the whole of it."""
    if connection.vendor == "postgresql":
        return _snapshot(connection)
    if connection.vendor != "sqlite" or not _is_watched(connection):
        return None
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT name, mark FROM {MARKS}")
        return frozenset(cursor.fetchall()) or None


def _snapshot(connection: BaseDatabaseWrapper) -> str | None:
    """Equal snapshots see the same; a transaction that has written sees more than its snapshot says."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_current_snapshot()::text, pg_current_xact_id_if_assigned() IS NULL")
        text, has_not_written = cursor.fetchone()
    return str(text) if has_not_written else None


_in_place: dict[str, bool] = {}


def _is_watched(connection: BaseDatabaseWrapper) -> bool:
    """True where every trigger is there; looked up once for each database."""
    name = str(connection.settings_dict["NAME"])
    if name not in _in_place:
        with connection.cursor() as cursor:
            stored = _stored_triggers(cursor)
        _in_place[name] = all(
            stored.get(trigger) == statement for table in tables() for trigger, statement in _triggers(table)
        )
    return _in_place[name]


def _statements(there: set[str], stored: dict[str, str]) -> list[str]:
    found = []
    for table in tables():
        missing = [each for each in _triggers(table) if stored.get(each[0]) != each[1]]
        if table not in there or not missing:
            continue
        for trigger, statement in missing:
            found += [f"DROP TRIGGER IF EXISTS {trigger}", statement]
        found += _redrawn(f"'{table}'")
    return found + _redrawn(f"'{TRIGGERS}'") if found else []


def _triggers(table: str) -> list[tuple[str, str]]:
    """Name and statement of each trigger of a table, as the database keeps it."""
    found = []
    for event, rows in (("INSERT", ("NEW",)), ("UPDATE", ("OLD", "NEW")), ("DELETE", ("OLD",))):
        # Every change appends to the audit trail; of what it says only approvals decide anything.
        only = " WHEN NEW.verb = 'approve'" if (table, event) == (AUDIT, "INSERT") else ""
        names = [f"'{table}'"]
        if table in OF_A_WELDER:
            names += [_of_welder(*OF_A_WELDER[table], row) for row in rows]
        elif only:
            names += [_of_welder(kind, whose, "NEW") for kind, whose in OF_AN_APPROVAL]
        elif table == AUDIT:
            names.append(f"'{TRAIL_CHANGED}'")
        body = " ".join(f"{statement};" for name in names for statement in _redrawn(name))
        trigger = f"mark_{table}_{event.lower()}"
        found.append((trigger, f"CREATE TRIGGER {trigger} AFTER {event} ON {table}{only} BEGIN {body} END"))
    return found


def _of_welder(kind: str, whose: str, row: str) -> str:
    """The name of a welder's mark, as the database works it out; one of nobody where there is no welder."""
    return f"'{kind}/' || COALESCE({whose.format(row=row)}, 0)"


def _redrawn(name: str) -> list[str]:
    return [f"DELETE FROM {MARKS} WHERE name = {name}", _drawn(name)]


def _drawn(name: str) -> str:
    return f"INSERT INTO {MARKS} (name, mark) VALUES ({name}, lower(hex(randomblob(16))))"

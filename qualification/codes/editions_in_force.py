"""The editions as this shop works with them: the shipped tables with the shop's own checks laid over."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.core.signals import request_finished, request_started
from django.db.models import QuerySet
from django.db.models.signals import post_delete, post_save

from qualification.codes.decisions import decision_content, decision_from
from qualification.codes.own_tables import is_own, stored_edition
from qualification.codes.table_values import as_typed, value_like
from qualification.models.code_decision import CodeDecision
from qualification.models.table_check import TableCheck
from qualification.rules.editions import loader
from qualification.rules.tabular.decisions import Decision
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.overlay import Path, TableVerification, laid_over, rows_of, value_at

Files = Mapping[str, Mapping[str, Any]]
Made = tuple[tuple[int, datetime], ...]
"""Which checks are in force: id and moment of each."""
Decided = tuple[int, str]
"""A decision by the code: its id, and its content as JSON."""

_read: ContextVar[dict[str, tuple[Made, tuple[Decided, ...]]] | None] = ContextVar(
    "read_checks", default=None
)
"""What this request read of each edition's checks and decisions; `None` outside requests, and in one that
changes them, so that nothing it takes back is relied on."""
_supposed: ContextVar[Mapping[str, Edition] | None] = ContextVar("supposed_editions", default=None)


@dataclass(frozen=True)
class InForce:
    """An edition's tables with the checks that were given, and those of them that no longer match their
    row."""

    edition: Edition
    files: Files
    stale: tuple[TableVerification, ...]


def edition_in_force(key: str) -> Edition:
    """The edition with the shop's checks. Raises TableError when its tables are not installed."""
    supposed = (_supposed.get() or {}).get(key)
    if supposed is not None:
        return supposed
    made, decisions = _made_and_decided(key)
    return (
        _own(key).edition.with_decisions(_answers(decisions))
        if is_own(key)
        else _decided(key, made, decisions)
    )


def in_force(key: str) -> InForce:
    """As `edition_in_force`, with the files the edition was made of. Raises TableError alike."""
    if is_own(key):
        return _own(key)
    return _built(key, _made_and_decided(key)[0])


def stale_checks(key: str) -> list[TableCheck]:
    """Checks whose row has changed since they were made; they have no effect until they are made again."""
    gone = {(check.file, check.path, check.row_hash) for check in in_force(key).stale}
    return [each for each in _checks_of(key) if (each.file, tuple(each.path), each.row_hash) in gone]


@contextmanager
def supposing(edition: Edition) -> Iterator[None]:
    """Judge as if `edition` were in force under its own key: to show what a correction would change before it
    is saved."""
    token = _supposed.set({**(_supposed.get() or {}), edition.id: edition})
    try:
        yield
    finally:
        _supposed.reset(token)


def is_supposing() -> bool:
    """True while any edition is only supposed to be in force."""
    return bool(_supposed.get())


def supposed_token(edition: Edition, changes: Mapping[Path, Any]) -> str:
    """Names exactly this change of exactly these tables: what was shown is what is saved."""
    said = [edition.fingerprint, *sorted((str(path), as_typed(value)) for path, value in changes.items())]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


def with_check(key: str, check: TableVerification) -> Edition:
    """The edition as it would be with one more check. Raises TableError when that would spoil a table."""
    return _with_decisions(key, [*_as_checks(key, _checks_of(key)), check])


def without_check(taken: TableCheck) -> Edition:
    """The edition as it would be with one check taken back."""
    key = taken.edition
    return _with_decisions(key, _as_checks(key, _checks_of(key).exclude(pk=taken.pk)))


def checks_of_row(key: str, file: str, path: Path) -> list[TableCheck]:
    """Every check of a row, those taken back included, newest first."""
    found = TableCheck.objects.filter(edition=key, file=file).order_by("-id")
    return [each for each in found if tuple(each.path) == path]


def find_row(
    key: str, file: str, place: str, files: Files | None = None
) -> tuple[Path, Mapping[str, Any]] | None:
    """The row at a place such as `groove_thickness/row/0`: of the shipped tables, or of `files`. `None` when
    there is none."""
    if files is None:
        if key not in loader.editions():
            return None
        files = loader.shipped_files(key)
    return next(
        (
            (path, row)
            for name, path, row in rows_of(files)
            if name == file and "/".join(map(str, path)) == place
        ),
        None,
    )


def _made_and_decided(key: str) -> tuple[Made, tuple[Decided, ...]]:
    """Asked of the database once in a request: a page judges many records under one edition."""
    known = _read.get()
    if known is not None and key in known:
        return known[key]
    made = () if is_own(key) else tuple(_checks_of(key).values_list("pk", "recorded_at"))
    found = made, _decisions_of(key)
    if known is not None:
        known[key] = found
    return found


def _begin_request(**_signal: Any) -> None:
    _read.set({})


def _read_anew(**_signal: Any) -> None:
    _read.set(None)


request_started.connect(_begin_request)
request_finished.connect(_read_anew)
for _model in (TableCheck, CodeDecision):
    post_save.connect(_read_anew, sender=_model)
    post_delete.connect(_read_anew, sender=_model)


def _decisions_of(key: str) -> tuple[Decided, ...]:
    """Those for every record under the edition; one made for a single procedure speaks of that one alone. An
    answer is never edited, but the database a program looks at may be put back, so its content names it."""
    found = CodeDecision.objects.filter(edition=key, procedure="", withdrawn_because="").order_by("id")
    return tuple((each.pk, json.dumps(decision_content(each), sort_keys=True)) for each in found)


@lru_cache(maxsize=32)
def _decided(key: str, made: Made, decisions: tuple[Decided, ...]) -> Edition:
    """As `_built`, with the responsible person's answers beside the tables."""
    return _built(key, made).edition.with_decisions(_answers(decisions))


def _own(key: str) -> InForce:
    """An edition of the shop's own has no checks laid over it: its rows are the shop's."""
    return InForce(*stored_edition(key), ())


def _with_decisions(key: str, checks: Sequence[TableVerification]) -> Edition:
    return _laid(key, checks).edition.with_decisions(_answers(_decisions_of(key)))


def _answers(decisions: tuple[Decided, ...]) -> list[Decision]:
    return [decision_from(json.loads(content)) for _, content in decisions]


def _checks_of(key: str) -> QuerySet[TableCheck]:
    return TableCheck.objects.filter(edition=key, taken_back_because="").order_by("id")


def _as_checks(key: str, made: QuerySet[TableCheck]) -> list[TableVerification]:
    files = loader.shipped_files(key) if key in loader.editions() else {}
    return [_as_check(each, value_at(files.get(each.file, {}), tuple(each.path))) for each in made]


def _as_check(made: TableCheck, row: Any) -> TableVerification:
    changes = {}
    for inside, text in made.changes:
        try:
            changes[tuple(inside)] = value_like(value_at(row, tuple(inside)), text)
        except ValueError:
            changes[tuple(inside)] = (
                text  # the row has changed since; its hash says so, and the check has no effect
            )
    return TableVerification(
        file=made.file,
        path=tuple(made.path),
        row_hash=made.row_hash,
        person=made.person_name,
        day=made.checked_on,
        copy=made.copy,
        changes=changes,
    )


def _laid(key: str, checks: Sequence[TableVerification]) -> InForce:
    edition, stale = loader.edition_checked(key, checks)
    return InForce(edition, laid_over(loader.shipped_files(key), checks)[0], stale)


@lru_cache(maxsize=32)
def _built(key: str, made: Made) -> InForce:
    """Cached by the checks in force, so that a check made by another process is seen at once; of these alone,
    whatever was made since they were read."""
    these = TableCheck.objects.filter(pk__in=[pk for pk, _ in made]).order_by("id")
    return _laid(key, _as_checks(key, these))

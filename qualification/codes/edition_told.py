"""What a page tells of an edition beside its answers: what its rules rest on, and what is known of it and of
the edition after it."""

from __future__ import annotations

from dataclasses import dataclass

from qualification.codes.own_tables import is_own, stored_edition
from qualification.rules.editions.edition_facts import EditionKind, kind_of
from qualification.rules.editions.loader import edition
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.tabular.scope import Told
from qualification.rules.tabular.successor_edition import LaterEdition


@dataclass(frozen=True)
class EditionTold:
    """Said wherever the edition decides."""

    name: str
    kind: EditionKind
    later: LaterEdition | None
    scope: tuple[Told, ...]


def told_of(made: Edition) -> EditionTold:
    """What is told of an edition at hand."""
    return EditionTold(made.name, kind_of(made), made.more.get("later"), made.more.get("scope", ()))


def edition_told(key: str) -> EditionTold | None:
    """What is told of the edition of that key; None where its tables are missing."""
    try:
        return told_of(stored_edition(key)[0] if is_own(key) else edition(key))
    except TableError:
        return None

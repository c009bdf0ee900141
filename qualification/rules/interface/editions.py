"""What an edition says of every variable, as a document of the machine interface."""

from __future__ import annotations

from ..core.findings import Provenance
from ..core.program import program
from ..editions.edition_facts import Group, edition_facts, kind_of
from ..editions.loader import edition, editions, shipped_files
from ..tabular.edition import Edition
from ..tabular.schema import TableError
from .schema import FORMAT
from .values import Json


def edition_json(made: Edition) -> Json:
    """What every answer says of the edition it was given under."""
    return {
        "id": made.id,
        "code": made.code,
        "edition": made.edition,
        "fingerprint": made.fingerprint,
        "kind": kind_of(made).name.lower(),
        "kind_words": kind_of(made).words,
        "scope": _scope(made),
        "later": _later(made),
    }


def _later(made: Edition) -> Json | None:
    """What is known of the edition after this one, for nobody to take the older numbers for the newer
    ones; where none is known, the day on which one was searched for."""
    later = made.more.get("later")
    if later is None:
        return None
    return {
        "edition": later.edition or None,
        "searched": later.searched and later.searched.isoformat(),
        "differences": [
            {
                "name": each.name,
                "sentence": each.because,
                "clause": each.citation.clause,
                "provenance": each.citation.provenance.value,
            }
            for each in later.differences
        ],
        "open": later.open,
    }


def _scope(made: Edition) -> list[Json]:
    """What is known of the edition beside its rows; it decides nothing."""
    return [
        {
            "name": each.name,
            "sentence": each.because,
            "clause": each.citation.clause,
            "provenance": each.citation.provenance.value,
        }
        for each in made.more.get("scope", ())
    ]


def completeness_document(name: str) -> Json:
    """The table of variable, process and side of one edition that ships with the program. Raises TableError
    naming the editions there are, when it is none of them."""
    if name not in editions():
        raise TableError(f"there is no edition {name!r}; there are {', '.join(editions())}")
    facts = edition_facts(edition(name), shipped_files(name))
    made, totals = facts.edition, facts.totals
    return {
        "format": FORMAT,
        "document": "completeness",
        "program": program(),
        "edition": {
            **edition_json(made),
            "rows": {provenance.value: totals[provenance] for provenance in Provenance},
        },
        "counts": {
            side.side.value: {says.name.lower(): count for says, count in side.counts.items()}
            for side in facts.sides
        },
        "variables": [
            {
                "variable": row.variable,
                "label": row.label,
                **{side.value: [_group(group) for group in groups] for side, groups in row.sides.items()},
            }
            for row in facts.variables
        ],
        "not_encoded": [
            {"table": row.heading, "clause": row.clause, "because": row.because} for row in facts.not_encoded
        ],
    }


def _group(group: Group) -> Json:
    return {
        "says": group.says.name.lower(),
        "processes": list(group.processes),
        "through": list(group.through),
        "rows": [
            {"clause": cited.clause, "row": cited.row, "provenance": cited.provenance.value}
            for cited in group.citations
        ],
    }

"""What an edition says of every variable, as a document of the machine interface."""

from __future__ import annotations

from ..core.findings import Provenance
from ..core.program import program
from ..editions.edition_facts import Group, edition_facts
from ..editions.loader import edition, editions, shipped_files
from ..tabular.schema import TableError
from .schema import FORMAT
from .values import Json


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
            "id": made.id,
            "code": made.code,
            "edition": made.edition,
            "fingerprint": made.fingerprint,
            "kind": facts.kind.name.lower(),
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

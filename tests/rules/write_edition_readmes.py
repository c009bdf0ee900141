"""`python -m tests.rules.write_edition_readmes`: writes the README of every edition's folder anew."""

from __future__ import annotations

from qualification.rules.core.findings import Provenance
from qualification.rules.editions.edition_facts import EditionFacts, edition_facts
from qualification.rules.editions.loader import edition, editions, shipped_files
from qualification.rules.editions.sayings import Says
from qualification.rules.tabular.edition import ROOT


def readme(name: str) -> str:
    """What the README of that edition has to say."""
    return as_markdown(edition_facts(edition(name), shipped_files(name)))


def as_markdown(facts: EditionFacts) -> str:
    """The README of an edition's folder."""
    made, totals = facts.edition, facts.totals
    lines = [
        f"# {made.name}",
        "Written by `python -m tests.rules.write_edition_readmes`; a change goes into the tables beside it.",
        "",
        f"{made.title}. {facts.kind.words} Processes: {', '.join(made.processes)}.",
        f"{sum(totals.values())} rows: {totals[Provenance.PUBLISHED]} stated on open pages,"
        f" {totals[Provenance.MEMORY]} from memory.",
        "",
    ]
    if made.has("scope"):
        lines += [
            "## What is known of it",
            *(f"- {told.name}: {told.because}" for told in made.more["scope"]),
            "",
        ]
    if facts.sides:
        lines += [
            "## What is said of every variable",
            "Pairs of variable and process that a weld can state. A silence is a defect (`completeness.py`).",
            "",
            f"| Side | {' | '.join(says.value.capitalize() for says in Says)} |",
            f"|---|{'---|' * len(Says)}",
            *(
                f"| {side.side.value.capitalize()} | {' | '.join(str(n) for n in side.counts.values())} |"
                for side in facts.sides
            ),
            "",
        ]
    lines += ["## Rows", "| Table | Open pages | Memory |", "|---|---|---|"]
    lines += [
        f"| {heading} | {count[Provenance.PUBLISHED]} | {count[Provenance.MEMORY]} |"
        for heading, count in facts.rows.items()
    ]
    if facts.not_encoded:
        lines += ["", "## What is not encoded"]
        lines += dict.fromkeys(f"- {row.heading}, {row.clause}: {row.because}" for row in facts.not_encoded)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for name in editions():
        (ROOT / name / "README.md").write_text(readme(name), encoding="utf-8")

"""`python -m tests.rules.write_edition_readmes`: writes the README of every edition's folder anew."""

from __future__ import annotations

from qualification.rules.editions.edition_facts import as_markdown, edition_facts
from qualification.rules.editions.loader import edition, editions, shipped_files
from qualification.rules.tabular.edition import ROOT


def readme(name: str) -> str:
    """What the README of that edition has to say."""
    return as_markdown(edition_facts(edition(name), shipped_files(name)))


if __name__ == "__main__":
    for name in editions():
        (ROOT / name / "README.md").write_text(readme(name), encoding="utf-8")

"""Write down which case notices which change: `.venv/bin/python -m tests.rules.write_first_asked`."""

from __future__ import annotations

import json

from tests.rules.readers.first_asked import FILE
from tests.rules.readers.mutation_watchers import Noticed
from tests.rules.test_mutations import PARTS, changes_of, noticed_by

EASY = 4
"""Changes that so few questions find, asked in the order of the rows they cite, are not written down."""


def main() -> None:
    FILE.write_text("{}\n", encoding="utf-8")
    found: dict[str, dict[str, str]] = {}
    for name, file in PARTS:
        for change in changes_of(name, file):
            by = noticed_by(name, change)
            if isinstance(by, Noticed) and by.asked > EASY:
                found.setdefault(name, {})[change.mark] = by.question.name
    FILE.write_text(json.dumps(found, indent=0, sort_keys=True) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

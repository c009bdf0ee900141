"""People who read, check and save at once: `python -m tests.load --people 50 --seconds 300`, on a shop of
its own; on the PostgreSQL server of `DATABASE_URL` in a database of its own. Status 1 when one fails."""

from __future__ import annotations

import argparse
import sys

from tests.own_shop import own_shop


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=300.0)
    chosen = parser.parse_args()
    with own_shop() as folder:
        from tests.load.run import run

        return run(folder, chosen.people, chosen.seconds)


if __name__ == "__main__":
    sys.exit(main())

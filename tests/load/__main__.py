"""People at work at once: `python -m tests.load --people 50 --seconds 300`, who read, check and save, or
`python -m tests.load --servers 2 --people 8 --rounds 6`, who write through several servers. On a shop of its
own; on the PostgreSQL server of `DATABASE_URL` in a database of its own. Status 1 when one fails."""

from __future__ import annotations

import argparse
import sys

from tests.own_shop import own_shop


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=300.0, help="how long they work on one server")
    parser.add_argument("--thinking", type=float, default=2.0, help="most seconds between two pages of one")
    parser.add_argument("--servers", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=6, help="how often each writes, on several servers")
    chosen = parser.parse_args()
    with own_shop() as folder:
        from tests.load import run, several

        if chosen.servers > 1:
            return several.run(folder, chosen.people, chosen.servers, chosen.rounds)
        return run.run(folder, chosen.people, chosen.seconds, chosen.thinking)


if __name__ == "__main__":
    sys.exit(main())

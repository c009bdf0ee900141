"""Kills by SIGKILL at random moments: `python -m tests.crash --kills 1000 --seed 1`, on a shop of its own; on
the PostgreSQL server of `DATABASE_URL` in a database of its own. Servers are forks of a process that has read
the program (`tests/crash/forked.py`); with `--as-in-a-shop` they are started by their command, which takes
several times as long."""

from __future__ import annotations

import argparse
import sys
from math import inf
from random import Random

from tests.own_shop import own_shop


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=inf, help="after which it ends early")
    parser.add_argument("--as-in-a-shop", action="store_true", help="start servers by their command")
    chosen = parser.parse_args()
    with own_shop() as folder:
        from tests.crash.forked import Forked
        from tests.crash.run import Run
        from tests.served import Served

        server = (Served if chosen.as_in_a_shop else Forked)(folder / "server.log")
        return Run(server, Random(chosen.seed), chosen.minutes * 60).all(chosen.kills)


if __name__ == "__main__":
    sys.exit(main())

"""Kills by SIGKILL at random moments: `python -m tests.crash --kills 1000 --seed 1`, on a shop of its own; on
the PostgreSQL server of `DATABASE_URL` in a database of its own."""

from __future__ import annotations

import argparse
import sys
from random import Random

from tests.own_shop import own_shop


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    with own_shop() as folder:
        from tests.crash.run import Run

        return Run(folder, Random(chosen.seed)).all(chosen.kills)


if __name__ == "__main__":
    sys.exit(main())

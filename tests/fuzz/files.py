"""Files and documents somebody brings, changed at random, given to what reads them:
`python -m tests.fuzz.files --inputs 100000 --seed 1`. Each reader either reads or refuses in words; anything
else it raises is a fault, and status 1. Without a database."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import traceback
from collections import Counter
from math import inf
from pathlib import Path
from random import Random
from time import process_time

SLOW = 2.0
"""Seconds of processor time after which an input is told of."""


def run(inputs: int, seed: int, only: str = "", most_seconds: float = inf) -> int:
    """Print what the readers did with so many inputs; how many faults they have."""
    from tests.fuzz.readers import readers

    random, answers, faults, slow = Random(seed), Counter[str](), dict[str, str](), dict[str, float]()
    until = process_time() + most_seconds
    with tempfile.TemporaryDirectory() as folder:
        chosen = [each for each in readers(Path(folder)) if only in each.name]
        for number in range(inputs):
            reader, began = random.choice(chosen), process_time()
            if began > until:
                break
            content = reader.drawn(random)
            try:
                reader.read(content)
                answers[f"{reader.name} read"] += 1
            except reader.refuses:
                answers[f"{reader.name} refused"] += 1
            except Exception as error:  # whatever else escapes is a fault of the reader
                last = traceback.extract_tb(error.__traceback__)[-1]
                place = f"{reader.name}: {type(error).__name__} in {Path(last.filename).name}:{last.lineno}"
                trace = "".join(traceback.format_exception(error)[-8:])
                if place not in faults:
                    faults[place] = f"input {number} of seed {seed}: {content[:300]!r}\n{trace}"
                    print(f"== {place}\n{faults[place]}", flush=True)
            if (took := process_time() - began) > SLOW:
                slow[f"{reader.name}, input {number}"] = took
    for name, count in sorted(answers.items()):
        print(f"{name}: {count}")
    for name, took in sorted(slow.items(), key=lambda each: -each[1])[:20]:
        print(f"slow: {took:.1f} s of processor time, {name}")
    print(f"{answers.total()} inputs; faults: {len(faults) or 'none'}; over 2 s: {len(slow) or 'none'}")
    return len(faults)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="readers whose name has this in it")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"CTP_DATA": folder, "DJANGO_SETTINGS_MODULE": "wps.settings"}
        import django

        django.setup()
        return 1 if run(chosen.inputs, chosen.seed, chosen.only) else 0


if __name__ == "__main__":
    sys.exit(main())

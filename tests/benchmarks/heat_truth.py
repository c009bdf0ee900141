"""How far the bench can be believed: an error table of logs of everyday quality, and how often the intervals
of energies and of differences hold the truth.

    .venv/bin/python -m tests.benchmarks.heat_truth [tries]

The logs are those of `tests/rules/waveform/corpus.py`, the shops those of `shops.py`. Goals: no log gives an
energy beyond its interval without a doubt that says so; intervals hold the truth in 90 of 100 or more; a
difference that is not there is called real in at most 5 of 100.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.rules.waveform.corpus import Case, cases
from tests.rules.waveform.read_case import found_in
from tests.rules.waveform.shops import PROGRAMS, Scenario, single, tally

PARTS = (1.0, 0.96, 0.4)


def errors(folder: Path) -> None:
    print(f"{'log':38} {'energy, J':>18} {'truth':>7} {'error':>7}  what is said")
    for case in cases():
        print(_line(case, folder / "log.csv"))


def _line(case: Case, path: Path) -> str:
    found = found_in(case, path)
    if found.refused:
        return f"{case.name:38} {'refused':>18} {'':>7} {'':>7}  {found.refused}"
    truth = case.energy or 0.0
    error = f"{100 * (found.energy / truth - 1):+.1f} %" if truth else ""
    bound = ">= " if case.at_least else ""
    value = f"{bound}{found.energy:.0f} ± {2 * found.uncertainty:.0f}"
    return f"{case.name:38} {value:>18} {truth:7.0f} {error:>7}  {', '.join(dict.fromkeys(found.doubts))}"


def passes(tries: int) -> None:
    print(f"\nEnergy of one pass: of {tries}, how many intervals hold the truth")
    print(f"{'program':10}" + "".join(f"{f'{100 * part:.0f} % logged':>14}" for part in PARTS))
    for program in PROGRAMS:
        print(f"{program:10}" + "".join(f"{single(program, part, tries):14d}" for part in PARTS))


def differences(tries: int) -> None:
    print(f"\nDifferences, coupons straying by 5 %, instruments by up to 3 %: of {tries}")
    head = f"{'scenario':24}{'logged':>8}{'coupons':>9}{'instruments':>13}"
    print(f"{head}{'held':>6}{'false':>7}{'called real':>13}{'margin':>9}")
    for one, other, same in (
        ("double", "pulsed", False),
        ("double", "steady", False),
        ("short", "steady", False),
        ("double", "double", True),
        ("pulsed", "steady", True),
        ("short", "short", True),
    ):
        for part in PARTS:
            for coupons in range(1, 6):
                for shared in (False, True):
                    made = Scenario(one, other, coupons, part, 0.05, same, shared)
                    found = tally(made, tries)
                    name = f"{one} / {other}" + (" alike" if same else "")
                    print(
                        f"{name:24}{100 * part:6.0f} %{coupons:9d}{'one' if shared else 'two':>13}"
                        f"{found.held:6d}{found.false:7d}{found.seen:13d}{found.margin:7.1f} %"
                    )


def main(tries: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        errors(Path(folder))
    passes(tries)
    differences(tries)


if __name__ == "__main__":
    main(int(sys.argv[1]) if sys.argv[1:] else 100)

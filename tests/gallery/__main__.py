"""The geometry of every PDF that `manage.py gallery FOLDER` made: `python -m tests.gallery FOLDER`."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.gallery import problems_of


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    files = sorted(parser.parse_args().folder.glob("*.pdf"))
    broken = 0
    for file in files:
        problems = problems_of(file.read_bytes())
        broken += bool(problems)
        for each in problems:
            print(f"{file.name}: {each}")
    print(f"{len(files)} papers, {broken} with problems")
    return 1 if broken or not files else 0


if __name__ == "__main__":
    sys.exit(main())

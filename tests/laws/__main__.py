"""A long run of the laws: `python -m tests.laws --documents 20000 --seed 1`."""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from random import Random

from qualification.rules.laws.documents import answer, documents
from qualification.rules.laws.laws import LAWS
from tests.laws.bases import case_bases
from tests.laws.soon import soon


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--documents", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--from", dest="start", type=int, default=0, help="number of the first document")
    parser.add_argument("--show", type=int, default=3, help="documents printed for each law that is broken")
    parser.add_argument("--each", type=int, default=len(LAWS), help="laws that each document is held against")
    chosen = parser.parse_args()
    broken: Counter[str] = Counter()
    verdicts: Counter[str] = Counter()
    asked: Counter[str] = Counter()
    for number, document in enumerate(documents(chosen.seed, chosen.documents, case_bases())):
        if number < chosen.start:
            continue
        found = answer(document)
        verdicts[found["verdict"] if found else "refused"] += 1
        rng = Random(f"{chosen.seed}/{number}")
        laws = {name: LAWS[name] for name in rng.sample(sorted(LAWS), min(chosen.each, len(LAWS)))}
        for name, law in (laws | ({"soon": soon} if number % 50 == 0 else {})).items():
            asked[name] += 1
            for message in law(Random(f"{chosen.seed}/{number}/{name}"), document):
                broken[name] += 1
                if broken[name] <= chosen.show:
                    print(f"{name} #{number} {document['edition']} {document['side']}: {message}", flush=True)
                    if chosen.show > 50:
                        print(json.dumps(document, ensure_ascii=False))
    print(f"{sum(verdicts.values())} documents: {dict(verdicts)}")
    print(f"laws asked: {dict(asked)}")
    print(f"broken: {dict(broken) or 'none'}")
    return 1 if broken else 0


sys.exit(main())

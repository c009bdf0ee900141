"""The shop's cases for its own edition, "this test qualifies this weld" or not; and the laws, which run on
documents drawn from them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from qualification.codes.own_tables import as_text, parsed
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import beside
from qualification.rules.interface.questions import InputRefused, coverage_document
from qualification.rules.laws.as_weld import as_weld
from qualification.rules.laws.documents import answer, documents
from qualification.rules.laws.laws import LAWS
from qualification.rules.tabular.edition import Edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.variables.registry import registry

FILE = "cases.toml"
EXPECT = {
    Verdict.COVERED.key: "The test qualifies the weld",
    Verdict.NOT_COVERED.key: "The test does not qualify the weld",
    Verdict.NO_RULE.key: "No rule is entered for it",
    Verdict.UNKNOWN.key: "It cannot be determined: something is not stated",
}
SIDES = {"procedure": "Procedure test and WPS", "welder": "Welder test and weld"}
KEYS = frozenset({"name", "side", "units", "expect", "clause", "coupon", "weld"})
MOST = 400
"""Cases of one edition; a few for every row are enough."""
SHOWN = 3
Case = dict[str, Any]


@dataclass(frozen=True)
class Judged:
    """One case, and what the edition says of it."""

    number: int
    """Its place in the list, from 0."""
    case: Case
    found: str
    """The verdict in words, or why the case cannot be read."""
    is_green: bool
    sentence: str

    @property
    def expected(self) -> str:
        return EXPECT[self.case["expect"]]


@dataclass(frozen=True)
class Broken:
    """A law that a document breaks."""

    law: str
    message: str
    document: dict[str, Any]

    @property
    def law_words(self) -> str:
        """What the law says."""
        return " ".join((LAWS[self.law].__doc__ or self.law).split())

    @property
    def document_text(self) -> str:
        """The document as the machine interface takes it."""
        return json.dumps(self.document, indent=1, ensure_ascii=False)


def read_cases(text: str) -> list[Case]:
    """The stored cases. Raises TableError naming the case at fault."""
    body = parsed(FILE, text) if text else {}
    if set(body) - {"case"} or not isinstance(body.get("case", []), list):
        raise TableError(f"{FILE}: expected nothing but [[case]] entries")
    cases = body.get("case", [])
    if len(cases) > MOST:
        raise TableError(f"{FILE}: has {len(cases)} cases; an edition has {MOST} or fewer")
    for number, case in enumerate(cases, start=1):
        _check(case, f"{FILE}, case {number}")
    return cases


def _check(case: Any, where: str) -> None:
    if not isinstance(case, dict) or set(case) - KEYS or not KEYS - {"clause"} <= set(case):
        raise TableError(f"{where}: a case has {', '.join(sorted(KEYS))}")
    if case["side"] not in SIDES or case["expect"] not in EXPECT or case["units"] not in ("us", "si"):
        raise TableError(f"{where}: its side, units or expected answer is none that there is")
    for part in (case["coupon"], case["weld"]):
        if (
            not isinstance(part, dict)
            or set(part) != {"joint", "lines"}
            or not isinstance(part["lines"], list)
            or not all(_are_entries(each) for each in (part["joint"], *part["lines"]))
        ):
            raise TableError(f"{where}: coupon and weld have entries of a joint and of lines")


def _are_entries(level: Any) -> bool:
    return isinstance(level, dict) and all(
        key in registry()
        and (isinstance(value, str) or (isinstance(value, list) and all(isinstance(v, str) for v in value)))
        for key, value in level.items()
    )


def as_cases(cases: Sequence[Case]) -> str:
    """Cases as they are stored."""
    return as_text({"case": list(cases)})


def weld_of(coupon: Mapping[str, Any], side: str, units: str, changes: Mapping[str, Any]) -> dict[str, Any]:
    """The weld that a coupon is, but for what `changes` (joint, and a line that speaks for each) says
    otherwise. Raises ValueError for a coupon whose welds cannot be told from its position."""
    made = as_weld({"units": units, **coupon}, {"side": side})
    if made is None:
        made = {"joint": {k: v for k, v in coupon["joint"].items() if k != "test_position"}, **coupon}
        if "position" not in changes["joint"]:
            raise ValueError("State the position of the weld: that of the coupon does not say it.")
    more = changes["lines"][0]
    return {
        "joint": _stated({**made["joint"], **changes["joint"]}),
        "lines": [_stated({**line, **more}) for line in made["lines"]],
    }


def _stated(level: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in level.items() if value not in ("", [])}


def question(edition: str, case: Case) -> dict[str, Any]:
    """A case as the machine interface asks it."""
    test = {"record": "T1", "units": case["units"], "results_passed": True, **case["coupon"]}
    return {
        "edition": edition,
        "side": case["side"],
        "tests": [test],
        "weld": {"units": case["units"], **case["weld"]},
    }


def judged(edition: Edition, cases: Sequence[Case]) -> list[Judged]:
    """Each case with what the edition says of it."""
    with beside({edition.id: edition}):
        return [_judged(edition.id, number, case) for number, case in enumerate(cases)]


def _judged(key: str, number: int, case: Case) -> Judged:
    try:
        found = coverage_document(question(key, case))
    except InputRefused as refused:
        return Judged(number, case, "cannot be read", False, str(refused))
    return Judged(number, case, found["verdict_words"], found["verdict"] == case["expect"], found["sentence"])


def wanting(edition: Edition, cases: Sequence[Case]) -> list[str]:
    """What the cases leave out that publishing needs: of each side with rules one that qualifies and one that
    does not."""
    said = []
    for side, rows in (("procedure", edition.procedure), ("welder", edition.welder)):
        expected = {case["expect"] for case in cases if case["side"] == side}
        for key in (Verdict.COVERED.key, Verdict.NOT_COVERED.key):
            if rows and key not in expected:
                said.append(f"{SIDES[side]}: add a case with the answer “{EXPECT[key]}”.")
    return said


def broken_laws(edition: Edition, cases: Sequence[Case], seed: int, count: int) -> list[Broken]:
    """Laws that random documents under the edition break, `SHOWN` at most. The documents begin from the
    cases whose test qualifies the weld."""
    bases = {
        f"case {number}": {"edition": edition.id, **case}
        for number, case in enumerate(cases)
        if case["expect"] == Verdict.COVERED.key
    }
    found: list[Broken] = []
    if not bases:
        return found
    with beside({edition.id: edition}):
        for number, document in enumerate(documents(seed, count, bases)):
            if answer(document) is None:
                continue
            for name, law in LAWS.items():
                rng = Random(f"{seed}/{number}/{name}")
                found += [Broken(name, message, document) for message in law(rng, document)]
                if len(found) >= SHOWN:
                    return found[:SHOWN]
    return found

"""Long papers of each kind on both sheet sizes: nothing beyond the margins, nothing laid over something else,
heads repeated on each page a table goes on to, no heading left alone at the foot of a page. Read from the PDF
itself."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy

import pytest
from django.contrib.auth.models import User

from qualification.models import Record, Shop, State
from qualification.models.shop import UnitOrder
from tests.documents.paper_checks import (
    OF_A_FORM,
    beyond_margins,
    heads_not_repeated,
    lonely_headings,
    overlaps,
)
from tests.documents.pdf_geometry import Element, Paper, Run
from tests.shop_records import RESULTS, SPEC_LINE, procedure_test, spec, welder, welder_test
from wps.documents.context import content_of
from wps.documents.issue import rendered

LONG = (
    "Degreased with acetone, left to dry, brushed with a stainless brush kept for aluminium, and welded"
    " within four hours"
)
WORD = "Grundierungsbeschichtungsentfernungsverfahrensnummer-2031/07-0001"


def long_procedure(author: User) -> Record:
    lines = [
        {**SPEC_LINE, "cleaning": f"{LONG}; run {number}", "filler_trade_name": WORD}
        for number in range(1, 5)
    ]
    made = spec(
        author,
        procedure_test(author),
        joint={"joint_preparation": LONG, "fit_up": LONG, "run_sequence": LONG},
        notes=f"{LONG}. " * 6,
    )
    made.lines = lines
    made.title, made.joint_note = LONG[:110], LONG
    return made


def _many_results(kinds: tuple[str, ...], times: int) -> list[dict[str, str]]:
    found = [deepcopy(each) for _ in range(times) for each in RESULTS if each["kind"] in kinds]
    return [{**each, "specimen": f"S{number}"} for number, each in enumerate(found, start=1)]


def long_test(author: User) -> Record:
    made = procedure_test(
        author,
        state=State.DRAFT,
        results=_many_results(("tension", "face_bend", "root_bend", "visual"), 6),
        notes=LONG,
    )
    made.lines = [
        {**made.lines[0], "cleaning": LONG, "part_of_joint": part} for part in ("root", "fill", "whole")
    ]
    return made


def long_welder_test(author: User) -> Record:
    made = welder_test(
        author, welder(), state=State.DRAFT, results=_many_results(("face_bend", "root_bend", "visual"), 8)
    )
    made.title = LONG[:110]
    return made


def iso_test(author: User) -> Record:
    return procedure_test(author, "PT-020", State.DRAFT, edition="iso_15614_2_2005", notes=LONG)


def aws_test(author: User) -> Record:
    return procedure_test(author, "PT-021", State.DRAFT, edition="aws_d1_2_2014", notes=LONG)


def iso_certificate(author: User) -> Record:
    return welder_test(author, welder(), "WT-030", State.DRAFT, edition="iso_9606_2_2004")


KINDS: dict[str, tuple[Callable[[User], Record], tuple[str, ...]]] = {
    "procedure": (long_procedure, ("letter", "a4")),
    "procedure test": (long_test, ("letter", "a4")),
    "welder test": (long_welder_test, ("letter",)),
    "test to ISO 15614-2": (iso_test, ("a4",)),
    "test to D1.2": (aws_test, ("letter",)),
    "certificate to ISO 9606-2": (iso_certificate, ("a4",)),
}
ONE_PAGE = ("welder test", "certificate to ISO 9606-2")
PRINTED = [(kind, paper) for kind, (_, papers) in KINDS.items() for paper in papers]


@pytest.mark.parametrize(("kind", "paper"), PRINTED)
def test_a_long_paper_keeps_to_its_sheet(kind: str, paper: str, author: User, shop: Shop) -> None:
    shop.unit_order = UnitOrder.METRIC_FIRST if paper == "a4" else UnitOrder.INCH_FIRST
    shop.save()
    record = KINDS[kind][0](author)
    content = content_of(record)
    printed = Paper(rendered(record, content, content, paper).pdf)
    runs, root = printed.runs(), printed.root()
    side, top, bottom = OF_A_FORM
    assert len(printed.sizes) > 1 or kind in ONE_PAGE, "the paper is too short to show anything"
    assert [*beyond_margins(runs, printed.sizes, side), *overlaps(runs)] == []
    assert [
        *heads_not_repeated(runs, root),
        *lonely_headings(runs, root, printed.sizes, top, bottom),
    ] == []


def run(
    text: str, left: float, right: float, baseline: float = 400, mcid: int | None = None, page: int = 0
) -> Run:
    return Run(page, left, right, baseline, 9, text, mcid)


def test_the_checks_notice_what_they_look_for() -> None:
    letter = [(612.0, 792.0)]
    assert beyond_margins([run("out", 560, 600)], letter)
    assert beyond_margins([run("in", 100, 500)], letter) == []
    assert overlaps([run("a", 50, 100), run("b", 90, 120)])
    assert overlaps([run("a", 50, 100), run("b", 100, 120)]) == []
    cell, head = (
        Element("TD", ((0, 2), (1, 3)), ()),
        Element("THead", ((0, 1),), (Element("TH", ((0, 1),), ()),)),
    )
    table = Element("", (), (Element("Table", ((0, 1), (0, 2), (1, 3)), (head, cell)),))
    shown = [run("Variable", 50, 80, 420, 1), run("x", 50, 60, 400, 2), run("y", 50, 60, 700, 3, page=1)]
    assert heads_not_repeated(shown, table)
    assert heads_not_repeated([*shown, run("Variable", 50, 80, 720, None, page=1)], table) == []
    assert lonely_headings([shown[0], shown[2]], table, letter)
    assert lonely_headings(shown, table, letter) == []

"""Long papers of each kind on both sheet sizes: nothing beyond the margins, nothing laid over something else,
heads repeated on each page a table goes on to, no heading left alone at the foot of a page. Read from the PDF
itself."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from itertools import pairwise

import pytest
from django.contrib.auth.models import User

from qualification.models import Record, Shop, State
from qualification.models.shop import UnitOrder
from tests.documents.pdf_geometry import Element, Paper, Run
from tests.shop_records import RESULTS, SPEC_LINE, procedure_test, spec, welder, welder_test
from wps.documents.context import content_of
from wps.documents.issue import rendered

MM = 72 / 25.4
SIDE, TOP, BOTTOM = 15 * MM, 16 * MM, 21 * MM
"""Margins of the sheet, as `wps/static/css/document.css` sets them."""
SLACK = 0.6
"""Points by which rounding may move a letter."""
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
PRINTED = [(kind, paper) for kind, (_, papers) in KINDS.items() for paper in papers]


@pytest.mark.parametrize(("kind", "paper"), PRINTED)
def test_a_long_paper_keeps_to_its_sheet(kind: str, paper: str, author: User, shop: Shop) -> None:
    shop.unit_order = UnitOrder.METRIC_FIRST if paper == "a4" else UnitOrder.INCH_FIRST
    shop.save()
    record = KINDS[kind][0](author)
    content = content_of(record)
    printed = Paper(rendered(record, content, content, paper).pdf)
    runs, root = printed.runs(), printed.root()
    assert len(printed.sizes) > (1 if kind.startswith("certificate") else 2), (
        "the paper is too short to show anything"
    )
    assert [*beyond_margins(runs, printed.sizes), *overlaps(runs)] == []
    assert [*heads_not_repeated(runs, root), *lonely_headings(runs, root, printed.sizes)] == []


def beyond_margins(runs: list[Run], sizes: list[tuple[float, float]]) -> list[str]:
    return [
        f"page {run.page + 1}: {run.text!r} from {run.left:.1f} to {run.right:.1f}"
        for run in runs
        for width, height in [sizes[run.page]]
        if run.text.strip()
        and not (
            run.left >= SIDE - SLACK
            and run.right <= width - SIDE + SLACK
            and 5 * MM <= run.baseline <= height - 5 * MM
        )
    ]


def overlaps(runs: list[Run]) -> list[str]:
    """Runs on one line of which one begins before the other ends."""
    lines: dict[tuple[int, float], list[Run]] = {}
    for run in runs:
        if run.text.strip():
            lines.setdefault((run.page, round(run.baseline, 1)), []).append(run)
    return [
        f"page {a.page + 1}: {b.text!r} begins inside {a.text!r}"
        for listed in lines.values()
        for a, b in pairwise(sorted(listed, key=lambda run: run.left))
        if b.left < a.right - SLACK
    ]


def heads_not_repeated(runs: list[Run], root: Element) -> list[str]:
    """Tables that go on to a page on which the words of their head do not stand above their first cell."""
    by_place = _by_place(runs)
    wrong = []
    for table in root.inside("Table"):
        head = [_words(cell, by_place) for part in table.inside("THead") for cell in part.inside("TH")]
        pages = sorted({page for page, _ in table.places})
        if len(pages) > 1 and not head:
            wrong.append(
                f"a table on pages {[p + 1 for p in pages]} has no head: {_words(table, by_place)[:60]}"
            )
        for page in pages[1:]:
            printed = "".join(run.text for run in runs if run.page == page).replace(" ", "")
            if not all(words.replace(" ", "") in printed for words in head):
                wrong.append(f"page {page + 1}: the head {head} is not repeated")
    return wrong


def lonely_headings(runs: list[Run], root: Element, sizes: list[tuple[float, float]]) -> list[str]:
    """Headings, and heads of tables that say something, below which nothing follows on their page."""
    by_place = _by_place(runs)
    wrong = []
    heads = [
        head
        for table in root.inside("Table")
        if any(_words(cell, by_place) for cell in table.inside("TD"))
        for head in table.inside("THead")
    ]
    for element in (
        *heads,
        *root.inside("H1", "H2", "H3", "Caption"),
    ):  # a table of blank lines to be signed has no words below its head
        own = [run for place in element.places for run in by_place.get(place, [])]
        if not own:
            continue
        page, lowest = own[0].page, min(run.baseline for run in own)
        below = [
            r
            for r in runs
            if r.page == page and BOTTOM < r.baseline < lowest - 1 and r.text.strip(" ") and r not in own
        ]
        if not below and lowest < sizes[page][1] - TOP:
            wrong.append(f"page {page + 1}: {_words(element, by_place)!r} stands alone at the foot")
    return wrong


def _by_place(runs: list[Run]) -> dict[tuple[int, int], list[Run]]:
    found: dict[tuple[int, int], list[Run]] = {}
    for run in runs:
        if run.mcid is not None:
            found.setdefault((run.page, run.mcid), []).append(run)
    return found


def _words(element: Element, by_place: dict[tuple[int, int], list[Run]]) -> str:
    return " ".join(run.text for place in element.places for run in by_place.get(place, [])).strip()


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

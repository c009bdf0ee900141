"""What a reader would find wrong with a paper: text beyond the margins, over other text, a table that goes on
without its head, a heading alone at the foot of a page. Read from the PDF itself."""

from __future__ import annotations

from itertools import pairwise

from tests.documents.pdf_geometry import Element, Run

MM = 72 / 25.4
SIDE, TOP, BOTTOM = 15 * MM, 16 * MM, 21 * MM
"""Margins of the sheet, as `wps/static/css/document.css` sets them."""
OF_A_FORM = 10 * MM, 9 * MM, 13 * MM
"""The same of a paper of few pages, as `wps/static/css/form-paper.css` sets them."""
SLACK = 0.6
"""Points by which rounding may move a letter."""


def beyond_margins(runs: list[Run], sizes: list[tuple[float, float]], side: float = SIDE) -> list[str]:
    return [
        f"page {run.page + 1}: {run.text!r} from {run.left:.1f} to {run.right:.1f}"
        for run in runs
        for width, height in [sizes[run.page]]
        if run.text.strip()
        and not (
            run.left >= side - SLACK
            and run.right <= width - side + SLACK
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


def lonely_headings(
    runs: list[Run],
    root: Element,
    sizes: list[tuple[float, float]],
    top: float = TOP,
    bottom: float = BOTTOM,
) -> list[str]:
    """Headings, and heads of tables that say something, below and beside which nothing stands on their
    page."""
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
            if r.page == page and bottom < r.baseline < lowest - 1 and r.text.strip(" ") and r not in own
        ]
        beside = [r for r in runs if r.page == page and r not in own and _is_beside(r, own)]
        if not below and not beside and lowest < sizes[page][1] - top:
            wrong.append(f"page {page + 1}: {_words(element, by_place)!r} stands alone at the foot")
    return wrong


def _is_beside(run: Run, head: list[Run]) -> bool:
    """True for text on the line of a head that stands left of what it heads; its own margin may set it lower
    by less than a third of a line."""
    on_line = any(abs(run.baseline - each.baseline) < 3 for each in head)
    return on_line and run.left > max(each.right for each in head) and bool(run.text.strip())


def _by_place(runs: list[Run]) -> dict[tuple[int, int], list[Run]]:
    found: dict[tuple[int, int], list[Run]] = {}
    for run in runs:
        if run.mcid is not None:
            found.setdefault((run.page, run.mcid), []).append(run)
    return found


def _words(element: Element, by_place: dict[tuple[int, int], list[Run]]) -> str:
    return " ".join(run.text for place in element.places for run in by_place.get(place, [])).strip()

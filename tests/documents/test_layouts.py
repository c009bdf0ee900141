"""What is tried and thrown away costs no file; style sheets are read once, and anew when changed."""

from __future__ import annotations

import os
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import weasyprint
from django.contrib.auth.models import User

from qualification.models import Shop
from tests.documents.pdf_geometry import Paper
from tests.shop_records import procedure_test, spec
from wps.documents import assets, issue, shop_sheet, styles
from wps.documents.context import content_of
from wps.documents.render import render
from wps.models import Spec

SMALL = "documents/_head.html"
"""A template that needs little, for what is the same of every paper."""
CONTEXT = {"content": {"shop": {"name": "Weld shop"}, "code": {"name": "A code"}}, "kind_words": "A paper"}


@pytest.fixture
def long_spec(author: User, shop: Shop) -> Spec:
    """A procedure with so much to say that its signatures stand on no first page."""
    test = procedure_test(author)
    long = "Clean, dry, brush, wipe with acetone and let it dry in still air before the next pass. " * 5
    return spec(
        author, test, joint={**test.joint, "joint_preparation": long, "fit_up": long, "run_sequence": long}
    )


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """How many papers were laid out and how many were written."""
    found = {"laid out": 0, "written": 0}

    def counting(name: str, of: Any) -> Any:
        def call(*args: Any, **kwargs: Any) -> Any:
            found[name] += 1
            return of(*args, **kwargs)

        return call

    monkeypatch.setattr(weasyprint.HTML, "render", counting("laid out", weasyprint.HTML.render))
    monkeypatch.setattr(weasyprint.Document, "write_pdf", counting("written", weasyprint.Document.write_pdf))
    return found


def test_of_several_layouts_one_is_written(long_spec: Spec, counted: dict[str, int]) -> None:
    content = content_of(long_spec)
    made = issue.rendered(long_spec, content, content, "a4")
    assert counted["laid out"] > 1
    assert counted["written"] == 1
    assert len(Paper(made.pdf).sizes) == made.pages > 0


def test_of_several_sheets_at_the_arc_one_is_written(long_spec: Spec, counted: dict[str, int]) -> None:
    shop_sheet.shop_sheet_pdf(long_spec, "a4")
    assert counted["laid out"] > 1
    assert counted["written"] == 1


def test_a_style_sheet_is_read_once_and_anew_when_it_has_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = Path(shutil.copy(assets.path_of("asset:/css/document.css"), tmp_path))
    kept = assets.path_of
    monkeypatch.setattr(styles, "path_of", lambda url: copy if url.endswith("/document.css") else kept(url))
    styles._read.cache_clear()
    for _ in range(3):
        render(SMALL, CONTEXT, {}, "a4")
    assert styles._read.cache_info().misses == 1
    os.utime(copy, ns=(1, 1))
    render(SMALL, CONTEXT, {}, "a4")
    assert styles._read.cache_info().misses == 2


def test_papers_made_at_once_share_their_style_sheets(long_spec: Spec) -> None:
    content = content_of(long_spec)
    template, words = issue.words_of(long_spec)
    context = {**issue.document_context(content), **words, "mark": None}

    def words_on_paper(_: int) -> list[tuple[int, str, float, float]]:
        runs = Paper(render(template, context, {}, "a4").pdf).runs()
        return [(run.page, run.text, round(run.left, 2), round(run.baseline, 2)) for run in runs]

    alone = words_on_paper(0)
    assert len(alone) > 100
    with ThreadPoolExecutor(3) as pool:
        assert list(pool.map(words_on_paper, range(3))) == [alone] * 3

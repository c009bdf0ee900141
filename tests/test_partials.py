"""The partials that pages and documents share."""

from pathlib import Path

import pytest
from django.template.loader import render_to_string
from pytest_django.asserts import assertInHTML

TEMPLATES = Path(__file__).parent.parent / "templates"
WORDS = {
    "covered": "Covered",
    "not_covered": "Not covered",
    "unknown": "Unknown",
    "no_rule": "No rule encoded",
    "not_applicable": "Not applicable",
}


@pytest.mark.parametrize(("verdict", "words"), WORDS.items())
def test_a_verdict_is_a_word_with_a_shape_of_its_own(verdict: str, words: str) -> None:
    html = render_to_string("_verdict.html", {"verdict": verdict})
    assert f"verdict--{verdict}" in html
    assert html.split("</svg>")[1].startswith(words)
    shape = html.split("<svg")[1].split("</svg>")[0]
    others = [render_to_string("_verdict.html", {"verdict": other}) for other in WORDS if other != verdict]
    assert not any(shape in other for other in others)


def test_a_verdict_can_be_said_in_other_words() -> None:
    assert "Outside on two" in render_to_string(
        "_verdict.html", {"verdict": "not_covered", "words": "Outside on two"}
    )


def test_an_unheard_of_verdict_never_looks_like_an_answer() -> None:
    assert render_to_string("_verdict.html", {"verdict": "fine"}).strip() == ""


def test_a_title_block_says_what_is_not_given() -> None:
    html = render_to_string(
        "_title_block.html",
        {
            "kind": "Procedure",
            "number": "W-204",
            "title": "Gangway deck",
            "revision": 0,
            "state": "In review",
            "cells": [("Written", "2031-04-02"), ("Approved", "")],
        },
    )
    assertInHTML("<div><dt>Revision</dt><dd>0</dd></div>", html)
    assertInHTML("<div><dt>Approved</dt><dd>not given</dd></div>", html)
    assertInHTML('<dd class="cells__strong">In review</dd>', html)
    assert "W-204" in html.split("<h1>")[1].split("</h1>")[0]


def test_no_template_line_is_too_long_to_read() -> None:
    """160 characters: what a review shows without scrolling sideways."""
    too_long = [
        f"{path.relative_to(TEMPLATES)}:{number}: {len(line)}"
        for path in TEMPLATES.rglob("*.html")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > 160
    ]
    assert not too_long

"""The book of worked examples: each answers as its public page does, and names the page; where no page does,
each answers as we worked it by hand."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from qualification.rules.editions.loader import edition, editions
from qualification.rules.editions.worked_examples import FOLDER, answered, worked_examples
from qualification.rules.tabular.schema import TableError
from tests.rules.readers.ruled import RULED

ANSWERED = {
    "aws_d1_2_2014": 0,
    "iso_15614_1_2017_level1": 0,
    "iso_15614_2_2005": 3,
    "iso_9606_1_2012": 4,
}
"""Editions of which public pages answer fewer than five; the number may only rise."""
RESTS_ON_PAGES = {"iso_15614_2_2005": 2, "iso_9606_1_2012": 4, "iso_9606_2_2004": 11}
"""Steps of these whose rows are all stated on public pages; the number may only rise."""


@pytest.mark.parametrize("name", RULED)
def test_every_example_answers_as_its_page_or_our_hand_does(name: str) -> None:
    made = edition(name)
    examples = worked_examples(made)
    assert len(examples) >= 5
    assert sum(example.source is not None for example in examples) >= ANSWERED.get(name, 5)
    published = 0
    for example in examples:
        for step in example.steps:
            said = answered(example, step, made)
            assert (said.qualified, said.verdict) == (step.qualified, step.verdict), (example.title, step)
            published += said.is_published
    assert published >= RESTS_ON_PAGES.get(name, 0)


def test_every_file_of_examples_is_of_an_edition() -> None:
    assert {path.stem for path in FOLDER.glob("*.toml")} <= set(editions())


def test_an_example_whose_rows_do_not_speak_has_no_answer() -> None:
    made = edition("asme_ix_2023")
    example = worked_examples(made)[0]
    said = answered(example, replace(example.steps[0], clause="QW-999"), made)
    assert (said.qualified, said.verdict) == ("", "")


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"source": "NOBODY"}, "'NOBODY' is not a source"),
        ({"joint": {"no_such": "1"}}, "expected entries by variable"),
        ({"step": []}, "expected"),
    ],
)
def test_an_example_that_cannot_be_trusted_is_refused(
    change: dict[str, object], complaint: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = edition("asme_ix_2023")
    body = tomllib.loads((FOLDER / "asme_ix_2023.toml").read_text("utf-8"))
    monkeypatch.setattr(tomllib, "loads", lambda _: {"example": [{**body["example"][0], **change}]})
    with pytest.raises(TableError, match=complaint):
        worked_examples(made)

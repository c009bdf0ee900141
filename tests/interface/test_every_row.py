"""`--every-row`: beside the answer each row of the edition and what it said."""

from __future__ import annotations

import copy

from qualification.rules.editions.loader import edition
from qualification.rules.interface.questions import coverage_document, ranges_document
from tests.interface.documents import EDITION, TEST, question


def test_a_test_comes_with_every_row_of_its_side() -> None:
    asked = {"edition": EDITION, "side": "procedure", **copy.deepcopy(TEST)}
    assert "every_row" not in ranges_document(asked)
    document = ranges_document(asked, with_rows=True)
    (line,) = document["every_row"]
    made = edition(EDITION)
    assert [row["row"] for row in line["rows"]] == [row.citation.row for row in made.procedure]
    assert document["edition"]["fingerprint"] == made.fingerprint
    assert document["program"]
    saw = next(row for row in line["rows"] if row["said"] == "other_process")
    assert (saw["verdict"], saw["encoded"]) == (None, True)


def test_a_weld_comes_with_how_it_stands_to_every_row() -> None:
    document = coverage_document(question(), with_rows=True)
    (line,) = document["every_row"]
    verdicts = {(row["variable"], row["verdict"]) for row in line["rows"] if row["verdict"]}
    found = {
        (finding["variable"], finding["verdict"])
        for each in document["lines"]
        for finding in each["findings"]
        if finding["variable"] == "filler_classification"
    }
    assert found
    assert found <= verdicts

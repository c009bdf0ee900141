"""Procedures that need no test: what holds of the reader. That each case under `cases/prequalified/` comes
out as stated is asked in `test_mutations.py`, of the tables as they are and with each change of them."""

from __future__ import annotations

import re

import pytest

from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.editions.loader import build, edition
from qualification.rules.ranges.prequalified import has_prequalified, prequalified
from qualification.rules.tabular.edition import ROOT, read_files
from qualification.rules.tabular.schema import TableError
from tests.rules.readers.prequalified_cases import EDITIONS, cases, judge

D11 = "aws_d1_1_2020"


@pytest.mark.parametrize("name", EDITIONS)
def test_cases_have_titles_of_their_own_and_name_their_source(name: str) -> None:
    listed, made = cases(name), edition(name)
    assert len({case.name for case in listed}) == len(listed) >= 60
    for case in listed:
        named = re.fullmatch(r"published: (.+)", case.source)
        assert case.source in ("worked by us", "common practice", "memory") or (
            named and named[1] in made.sources
        ), case.name


def test_every_finding_cites_a_clause_and_rests_on_no_record() -> None:
    report = judge(cases(D11)[0], edition(D11))
    assert report.findings
    assert all(f.citation.clause and f.because and not f.record for f in report.findings)
    assert report.relied_on == ()


def test_nothing_stated_is_never_covered() -> None:
    made = edition(D11)
    assert prequalified(Weld(Facts(), ()), made).verdict is Verdict.UNKNOWN
    assert prequalified(Weld(Facts(), (Facts(),)), made).verdict is Verdict.UNKNOWN
    only_process = Facts({"process": frozenset({"GMAW"})})
    report = prequalified(Weld(Facts(), (only_process,)), made)
    assert report.verdict is Verdict.UNKNOWN
    assert all(f.needs for f in report.obstacles)


def test_an_edition_without_such_procedures_says_so() -> None:
    made = edition("asme_ix_2023")
    assert not has_prequalified(made)
    with pytest.raises(ValueError, match="no procedures that need no test"):
        prequalified(Weld(Facts(), ()), made)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"test_when": {"weld_type": ["groove"]}}, "asks something of a test"),
        ({"rule": "same"}, "there is no kind of rule 'same'"),
    ],
)
def test_a_row_that_would_need_a_test_is_refused(change: dict[str, object], said: str) -> None:
    files = read_files(ROOT / D11)
    files["prequalified.toml"]["row"][0].update(change)
    with pytest.raises(TableError, match=said) as refused:
        build(D11, files)
    assert "prequalified.toml" in str(refused.value)

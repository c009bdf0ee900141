"""A welder's test after a failed one says whether it is a retest, before it is approved."""

from copy import deepcopy
from datetime import date
from typing import Any

import pytest
from django.contrib.auth.models import User

from qualification.evidence.coverage import outcome_of
from qualification.evidence.failed_before import unsaid_retest
from qualification.models import State, Welder, WelderTest
from qualification.records.approving import obstacles_to_approval
from qualification.rules.testing.outcome_parts import Overall
from tests.shop_records import RESULTS, welder, welder_test

pytestmark = pytest.mark.django_db
FAILED, LATER = date(2031, 3, 4), date(2031, 3, 6)


@pytest.fixture
def who(author: User) -> Welder:
    """A welder whose test of 4 March failed."""
    results = [deepcopy(each) for each in RESULTS if each["kind"] != "tension"]
    next(each for each in results if each["kind"] == "visual")["cracks"] = "yes"
    found = welder()
    failed = welder_test(author, found, "WT-030", welded_on=FAILED, results=results)
    assert outcome_of(failed).overall is Overall.FAILED
    return found


def after(author: User, who: Welder, number: str = "WT-031", **changes: Any) -> WelderTest:
    return welder_test(author, who, number, State.DRAFT, **{"welded_on": LATER, **changes})


def test_it_has_to_be_said(author: User, who: Welder) -> None:
    said = unsaid_retest(after(author, who))
    assert "WT-030 of this welder, welded on 2031-03-04, failed" in said
    assert said in obstacles_to_approval(after(author, who, "WT-032"))


@pytest.mark.parametrize("answer", ["first", "immediate", "trained"])
def test_either_answer_is_enough(author: User, who: Welder, answer: str) -> None:
    assert unsaid_retest(after(author, who, joint={"retest": answer})) == ""


def test_a_retest_at_once_with_one_coupon_is_not_complete(author: User, who: Welder) -> None:
    assert outcome_of(after(author, who)).overall is Overall.PASSED
    assert outcome_of(after(author, who, "WT-032", joint={"retest": "immediate"})).overall is (
        Overall.INCOMPLETE
    )


@pytest.mark.parametrize(
    "changes",
    [{"welded_on": date(2031, 3, 3)}, {"line": {"process": "GTAW"}}, {"edition": "aws_d1_2_2014"}],
    ids=["welded before it", "another process", "another code"],
)
def test_a_failed_test_elsewhere_asks_nothing(author: User, who: Welder, changes: dict[str, Any]) -> None:
    assert unsaid_retest(after(author, who, **changes)) == ""


def test_once_one_has_passed_nothing_is_asked(author: User, who: Welder) -> None:
    welder_test(author, who, "WT-033", welded_on=date(2031, 3, 5), joint={"retest": "first"})
    assert unsaid_retest(after(author, who)) == ""


def test_another_welder_is_not_asked(author: User, who: Welder) -> None:
    other = Welder.objects.create(name="Ansel Brook", stamp="ZZ")
    assert unsaid_retest(after(author, other)) == ""

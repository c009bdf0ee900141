"""Who may weld: the question itself, and its pages."""

from datetime import date

import pytest
from django.contrib.auth.models import User

from qualification.evidence.coverage import edition_of
from qualification.models import ProcessUse, State, Welder
from qualification.rules.core.facts import Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.entries.reading import read_weld
from qualification.rules.variables.definition import RecordKind
from qualification.welders.who_may_weld import WelderAnswer, who_may_weld
from tests.shop_records import EDITION, job, part, procedure_test, welder, welder_test
from wps.models import Part

DAY = date(2031, 4, 1)
"""Four weeks after the coupons of `shop_records` were welded."""


def weld_of(drawn: Part) -> Weld:
    return read_weld(drawn.joint, drawn.lines, RecordKind.PART, drawn.units).weld


def ask(weld: Weld, day: date = DAY) -> dict[str, WelderAnswer]:
    return {
        answer.welder.stamp: answer
        for answer in who_may_weld(weld, Welder.objects.filter(active=True), day, edition_of(EDITION))
    }


@pytest.fixture
def weld(db: None) -> Weld:
    return weld_of(part(job()))


def test_a_welder_whose_test_covers_the_weld_may(author: User, weld: Weld) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    answer = ask(weld)["KD"]
    assert answer.may
    assert [(line.by, line.holds_until) for line in answer.lines] == [(("WT-021",), date(2031, 9, 4))]


def test_a_welder_without_a_test_may_not_and_the_process_is_why(weld: Weld) -> None:
    welder("KD", "Kees Dorrit")
    (line,) = ask(weld)["KD"].lines
    assert line.verdict is Verdict.NOT_COVERED
    assert [finding.variable for finding in line.obstacles] == ["process"]


@pytest.mark.parametrize("state", [State.DRAFT, State.IN_REVIEW, State.SUPERSEDED, State.WITHDRAWN])
def test_only_approved_tests_count(state: str, author: User, weld: Weld) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"), state=state)
    assert not ask(weld)["KD"].may


def test_a_failed_test_qualifies_nobody(author: User, weld: Weld) -> None:
    made = welder_test(author, welder("KD", "Kees Dorrit"), state=State.DRAFT)
    made.results[0] = {**made.results[0], "openings": "1/2"}
    made.save()
    type(made).objects.filter(pk=made.pk).update(state=State.APPROVED)
    assert not ask(weld)["KD"].may


def test_the_welder_of_a_passed_procedure_test_may(author: User, weld: Weld) -> None:
    procedure_test(author, welder=welder("KD", "Kees Dorrit"))
    assert ask(weld)["KD"].may


def test_a_lapsed_qualification_is_said_to_be_the_reason(author: User, weld: Weld) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    (line,) = ask(weld, date(2031, 9, 5))["KD"].lines
    assert line.verdict is Verdict.NOT_COVERED
    assert line.obstacles == ()
    assert [(each.sentence, each.citation.clause) for each in line.continuity] == [
        (
            "GMAW was last shown to be used on 4 March 2031; 6 months without use ended on 4 September 2031. "
            "One passed coupon with the process renews it.",
            "QW-322.1(a)",
        )
    ]


def test_the_last_day_of_six_months_still_counts(author: User, weld: Weld) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    assert ask(weld, date(2031, 9, 4))["KD"].may


def test_a_use_on_record_keeps_it_and_a_struck_one_does_not(author: User, weld: Weld) -> None:
    who = welder("KD", "Kees Dorrit")
    welder_test(author, who)
    use = ProcessUse(
        welder=who,
        process="GMAW",
        operation="semiautomatic",
        used_on=date(2031, 8, 1),
        evidence="J-3107",
        recorded_by_name="Maren Oosting",
    )
    use.save()
    assert ask(weld, date(2031, 12, 1))["KD"].may
    use.struck_because = "Wrong welder."
    use.save()
    assert not ask(weld, date(2031, 12, 1))["KD"].may


def test_a_test_welded_after_the_day_does_not_count_yet(author: User, weld: Weld) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    assert not ask(weld, date(2031, 3, 3))["KD"].may


def test_a_questioned_ability_is_the_reason(author: User, weld: Weld) -> None:
    made = welder_test(author, welder("KD", "Kees Dorrit"))
    type(made).objects.filter(pk=made.pk).update(
        questioned_on=date(2031, 3, 20), questioned_because="Two rejected radiographs."
    )
    (line,) = ask(weld)["KD"].lines
    assert line.verdict is Verdict.NOT_COVERED
    assert "Two rejected radiographs" in line.continuity[0].sentence


def test_what_the_closest_test_does_not_cover_is_named(author: User) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"), line={"filler_classification": "ER5356"})
    drawn = part(job(), line={"transfer_mode": "short_circuit"})
    (line,) = ask(weld_of(drawn))["KD"].lines
    assert [finding.variable for finding in line.obstacles] == ["transfer_mode"]


def test_a_weld_that_leaves_out_too_much_is_unknown_for_everybody(author: User) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    assert ask(weld_of(part(job(), joint={"position": ""})))["KD"].verdict is Verdict.UNKNOWN
    assert ask(Weld(weld_of(part(job("J-1"))).joint, ()))["KD"].verdict is Verdict.UNKNOWN


def test_welders_share_a_joint_and_each_answers_for_own_lines(author: User) -> None:
    welder_test(author, welder("KD", "Kees Dorrit"))
    root = {
        "process": "GTAW",
        "operation": "manual",
        "current_type": "AC",
        "filler_used": "yes",
        "consumable_insert": "no",
        "transfer_mode": "",
    }
    welder_test(author, welder("RM", "Rosa Maat"), "WT-022", line=root)
    drawn = part(job())
    drawn.lines = [
        {
            "process": "GTAW",
            "operation": "manual",
            "part_of_joint": "root",
            "backing": "none",
            "filler_classification": "ER5356",
            "filler_form": "solid",
            "filler_used": "yes",
            "consumable_insert": "no",
            "deposit_thickness": "1/8",
            "progression": "up",
            "current_type": "AC",
            "backing_gas": "none",
        },
        {**drawn.lines[0], "backing": "weld_metal", "deposit_thickness": "1/8"},
    ]
    found = ask(weld_of(drawn))
    assert [
        (stamp, [line.process for line in answer.some_lines]) for stamp, answer in sorted(found.items())
    ] == [("KD", ["GMAW"]), ("RM", ["GTAW"])]
    assert not any(answer.may for answer in found.values())


def test_those_who_may_stand_first(author: User, weld: Weld) -> None:
    welder("AA", "Aaron Aks")
    welder_test(author, welder("ZZ", "Zoe Zand"))
    found = who_may_weld(weld, Welder.objects.all(), DAY, edition_of(EDITION))
    assert [answer.welder.stamp for answer in found] == ["ZZ", "AA"]

"""What to check by common sense stands in the answers, and changes no verdict."""

from __future__ import annotations

from tests.interface.documents import answer, put, question
from tests.interface.documents import test_record as record


def test_a_sound_question_brings_up_nothing() -> None:
    assert answer("coverage", question())["checks"] == []


def test_what_does_not_go_together_is_told_with_its_place_and_the_verdict_stays() -> None:
    odd = put(question(), "/weld/lines/0/filler_specification", "SFA-5.1")
    odd = put(odd, "/tests/0/lines/0/backing", "none")
    odd = put(odd, "/tests/0/lines/0/backing_material", "Aluminum strip")
    given = answer("coverage", odd)
    assert [(each["where"], each["key"]) for each in given["checks"]] == [
        ("/weld", "filler_specification"),
        ("/tests/0", "strip_without_backing"),
    ]
    assert given["checks"][0]["basis"] == "common practice"
    assert given["covered"] is answer("coverage", question())["covered"]


def test_ranges_tell_it_of_the_test() -> None:
    assert answer("ranges", record())["checks"] == []
    odd = put(record(), "/lines/0/shielding_gas", "75Ar/25CO2")
    assert "active_gas_on_aluminium" in {each["key"] for each in answer("ranges", odd)["checks"]}

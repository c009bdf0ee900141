"""A record's form asks what its own edition asks; what is stated for another code is never out of sight."""

import pytest

from qualification.forms.record_forms import RecordForms
from qualification.rules.editions.loader import edition
from qualification.rules.entries.showing import entered_groups
from qualification.rules.variables.definition import RecordKind

pytestmark = pytest.mark.django_db

LINE = {"process": "GMAW"}
CASES = [
    # edition, asked on joint or line, not asked
    (
        "asme_ix_2023",
        {"p_number_a", "group_a", "f_number", "a_number"},
        {"m_number_a", "iso_group_a", "amps_mean", "filler_group"},
    ),
    (
        "aws_d1_2_2014",
        {"m_number_a", "f_number", "amps_mean", "volts_mean"},
        {"p_number_a", "group_a", "iso_group_a", "a_number", "iso_filler"},
    ),
]


def keys(forms: RecordForms) -> set[str]:
    return {key for _, form in forms.all_forms for key in form.fields}


@pytest.mark.parametrize(("name", "asked", "not_asked"), CASES)
def test_a_form_asks_what_its_edition_asks(name: str, asked: set[str], not_asked: set[str]) -> None:
    shown = keys(RecordForms(RecordKind.TEST, "us", name, {}, [LINE]))
    assert asked <= shown
    assert not not_asked & shown


def test_what_is_stated_for_another_code_stays_in_sight() -> None:
    forms = RecordForms(RecordKind.TEST, "us", "aws_d1_2_2014", {"p_number_a": "23"}, [LINE])
    assert "p_number_a" in keys(forms)
    groups = entered_groups(
        {"p_number_a": "23"}, [LINE], RecordKind.TEST, "us", (), edition("aws_d1_2_2014").speaks
    )
    assert [row.key for group in groups for row in group.rows] == ["p_number_a", "process"]


def test_a_paper_names_no_blank_of_another_code() -> None:
    blanks = {
        name: {
            label
            for group in entered_groups({}, [LINE], RecordKind.TEST, "us", (), edition(name).speaks)
            for label in group.not_stated
        }
        for name, *_ in CASES
    }
    assert "P-Number of side A" in blanks["asme_ix_2023"] - blanks["aws_d1_2_2014"]
    assert "M-Number of side A" in blanks["aws_d1_2_2014"] - blanks["asme_ix_2023"]


def test_a_metal_is_read_with_the_group_of_the_edition() -> None:
    for name, words in (("asme_ix_2023", "6061: P-23"), ("aws_d1_2_2014", "6061: M-23")):
        forms = RecordForms(RecordKind.TEST, "us", name, {"base_metal_a": "6061"}, [LINE])
        assert forms.joint_form.fields["base_metal_a"].note == words


def test_an_unknown_metal_asks_for_the_group_of_the_edition() -> None:
    for name, label in (("asme_ix_2023", "P-Number of side A"), ("aws_d1_2_2014", "M-Number of side A")):
        (problem,) = RecordForms(RecordKind.TEST, "us", name, {"base_metal_a": "Alloy Q"}, [LINE]).problems
        assert f"state its {label} yourself" in problem.message

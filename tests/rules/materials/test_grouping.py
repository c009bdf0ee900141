"""Group numbers and filler forms follow from what is named and never replace what is stated."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from qualification.rules.core.facts import Facts, Weld
from qualification.rules.core.findings import Provenance
from qualification.rules.core.quantities import SI, US, read_quantity
from qualification.rules.core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from qualification.rules.materials.grouping import (
    Grouped,
    contradictions,
    explain_groups,
    fillers,
    group,
    minimum_tensile,
)
from tests.rules.readers.grouping_edition import SECTION_IX


def _fact(value: Any) -> Stated:
    if isinstance(value, str):
        return frozenset(item.strip() for item in value.split(";"))
    return value


def weld(joint: dict[str, Any] | None = None, *lines: dict[str, Any]) -> Weld:
    return Weld(
        Facts({key: _fact(value) for key, value in (joint or {}).items()}),
        tuple(Facts({key: _fact(value) for key, value in line.items()}) for line in lines),
    )


def joint_value(key: str, **joint: Any) -> Stated:
    return group(weld(joint), SECTION_IX).joint[key]


def line_value(key: str, **line: Any) -> Stated:
    return group(weld(None, line), SECTION_IX).lines[0][key]


def of(*choices: str) -> frozenset[str]:
    return frozenset(choices)


def test_p_numbers_of_both_sides_follow_from_the_metals() -> None:
    found = group(weld({"base_metal_a": "6061", "base_metal_b": "5083"}), SECTION_IX).joint
    assert (found["p_number_a"], found["p_number_b"]) == (of("23"), of("25"))
    assert (found["group_a"], found["group_b"]) == (MISSING, MISSING)


def test_group_number_follows_for_ferrous_metals() -> None:
    found = group(weld({"base_metal_a": "SA-516 70", "base_metal_b": "SA-36"}), SECTION_IX).joint
    assert (found["p_number_a"], found["group_a"], found["p_number_b"], found["group_b"]) == (
        of("1"),
        of("2"),
        of("1"),
        of("1"),
    )


def test_any_spelling_is_grouped() -> None:
    assert joint_value("p_number_a", base_metal_a="AA 6061-T6") == of("23")
    assert joint_value("p_number_a", base_metal_a="astm a516 gr 70") == of("1")


def test_several_metals_have_the_numbers_of_all() -> None:
    assert joint_value("p_number_a", base_metal_a="6061; 6063; 5083") == of("23", "25")
    assert joint_value("group_a", base_metal_a="SA-36; SA-516 70") == of("1", "2")


@pytest.mark.parametrize("metals", ["6061; 7005", "6061; Hardox 450", "Hardox 450", "7005"])
def test_a_metal_without_a_row_leaves_the_number_missing_for_all(metals: str) -> None:
    assert joint_value("p_number_a", base_metal_a=metals) is MISSING


def test_a_metal_to_be_qualified_by_itself_is_unassigned() -> None:
    assert joint_value("p_number_a", base_metal_a="4130") == of("unassigned")


def test_what_is_stated_is_never_overwritten() -> None:
    assert joint_value("p_number_a", base_metal_a="6061", p_number_a="22") == of("22")
    assert joint_value("p_number_a", base_metal_a="6061", p_number_a=NOT_APPLICABLE) is NOT_APPLICABLE
    assert line_value("f_number", filler_classification="ER5356", f_number="23") == of("23")
    assert line_value(
        "filler_form", process="GMAW", filler_classification="ER5356", filler_form="powder"
    ) == of("powder")


def test_group_number_is_left_open_beside_a_p_number_stated_otherwise() -> None:
    assert joint_value("group_a", base_metal_a="SA-516 70", p_number_a="3") is MISSING
    assert joint_value("group_a", base_metal_a="SA-516 70", p_number_a="1") == of("2")
    assert joint_value("group_a", base_metal_a="SA-516 70", group_a="1") == of("1")


def test_f_number_follows_from_the_classification() -> None:
    assert line_value("f_number", filler_classification="ER4043") == of("23")
    assert line_value("f_number", filler_classification="ER5356; ER4043") == of("22", "23")
    assert line_value("f_number", filler_classification="ER5356; ER5087") is MISSING
    assert line_value("f_number", filler_classification="Some wire") is MISSING


def test_a_number_follows_only_where_the_usual_deposit_is_known() -> None:
    assert line_value("a_number", filler_classification="E7018-H4R") == of("1")
    assert line_value("a_number", filler_classification="E9018-B9") is MISSING
    assert line_value("a_number", filler_classification="ER5356") is MISSING


@pytest.mark.parametrize(
    ("process", "filler", "form"),
    [
        ("GMAW", "ER70S-6", "solid"),
        ("GMAW", "E70C-6M", "metal_cored"),
        ("FCAW", "E71T-1M", "flux_cored"),
        ("GTAW", "ER5356", "solid"),
        ("GTAW", "R308LT1-5", "flux_cored"),
        ("SAW", "EM12K", "solid"),
    ],
)
def test_filler_form_follows_from_the_classification(process: str, filler: str, form: str) -> None:
    assert line_value("filler_form", process=process, filler_classification=filler) == of(form)


def test_filler_form_is_left_alone_where_a_process_does_not_tell_forms_apart() -> None:
    assert line_value("filler_form", process="SMAW", filler_classification="E7018") is MISSING
    assert line_value("filler_form", filler_classification="ER70S-6") is MISSING
    assert line_value("filler_form", process="GTAW", filler_classification="E7018") is MISSING
    assert line_value("filler_form", process="GMAW", filler_classification="ER70S-6; Some wire") is MISSING


def test_a_line_welded_without_filler_gets_no_numbers() -> None:
    found = group(
        weld(None, {"process": "GTAW", "filler_used": "no", "filler_classification": "ER5356"}), SECTION_IX
    ).lines[0]
    assert (found["f_number"], found["filler_form"]) == (MISSING, MISSING)


def test_an_edition_without_the_tables_groups_nothing() -> None:
    bare = replace(SECTION_IX, more={})
    named = weld({"base_metal_a": "6061"}, {"process": "SMAW", "filler_classification": "E7018"})
    assert group(named, bare) == named
    assert explain_groups(named, bare) == []
    assert contradictions(named, bare) == []
    assert minimum_tensile("6061", bare).strength is None


def test_each_value_filled_in_says_where_it_comes_from() -> None:
    found = explain_groups(
        weld(
            {"base_metal_a": "6061-T6; 5083", "base_metal_b": "SA-36", "p_number_b": "1"},
            {"process": "GMAW", "filler_classification": "5356"},
        ),
        SECTION_IX,
    )
    assert [(g.key, g.value, g.item, g.line) for g in found] == [
        ("p_number_a", "25", "5083", None),
        ("p_number_a", "23", "6061", None),
        ("group_b", "1", "SA-36", None),
        ("f_number", "22", "ER5356", 0),
        ("filler_form", "solid", "ER5356", 0),
    ]
    by_key = {g.key: g.citation for g in found}
    assert by_key["p_number_a"].clause == "QW-422"
    assert by_key["f_number"].clause == "QW-432"
    assert by_key["f_number"].provenance is Provenance.PUBLISHED
    assert [s.key for s in by_key["f_number"].sources] == ["AL207"]
    assert by_key["f_number"].row.startswith("fillers.toml, f_number")
    assert by_key["filler_form"].clause == "SFA-5.10"


def test_values_and_their_explanations_agree() -> None:
    named = weld(
        {"base_metal_a": "6061; 6063", "base_metal_b": "SA-516 70"},
        {"process": "FCAW", "filler_classification": "E71T-1C; E71T-8"},
        {"process": "SMAW", "filler_classification": "E6010"},
    )
    grouped = group(named, SECTION_IX)
    explained: dict[tuple[int | None, str], set[str]] = {}
    for found in explain_groups(named, SECTION_IX):
        explained.setdefault((found.line, found.key), set()).add(found.value)
    filled = {(None, key): set(value) for key, value in grouped.joint.items() if key not in named.joint}  # type: ignore[arg-type]
    for index, line in enumerate(grouped.lines):
        filled |= {(index, key): set(value) for key, value in line.items() if key not in named.lines[index]}  # type: ignore[arg-type]
    assert explained == filled
    assert filled


def test_stated_p_number_that_is_not_the_metals_is_contradicted_with_both_and_how_to_fix_it() -> None:
    (problem,) = contradictions(weld({"base_metal_a": "6061-T6", "p_number_a": "22"}), SECTION_IX)
    assert (problem.key, problem.line) == ("p_number_a", None)
    assert problem.message == (
        "P-Number of side A: P-22 is stated, and 6061 is P-23 by QW-422. "
        "Change it to P-23, or correct the name 6061."
    )


def test_unconfirmed_entry_leaves_a_way_out_that_works() -> None:
    (problem,) = contradictions(weld({"base_metal_b": "SA-515 70", "p_number_b": "3"}), SECTION_IX)
    assert "is P-1 by QW-422" in problem.message
    assert (
        "unverified; if yours is the right one, write the name as “SA-515 70 (number stated)”."
        in problem.message
    )
    assert (
        contradictions(weld({"base_metal_b": "SA-515 70 (number stated)", "p_number_b": "3"}), SECTION_IX)
        == []
    )


def test_stated_f_number_and_form_are_contradicted_on_their_line() -> None:
    found = contradictions(
        weld(
            None,
            {"process": "GTAW", "filler_classification": "ER5356", "f_number": "22"},
            {"process": "GMAW", "filler_classification": "E70C-6M", "f_number": "4", "filler_form": "solid"},
        ),
        SECTION_IX,
    )
    assert [(p.key, p.line) for p in found] == [("f_number", 1), ("filler_form", 1)]
    assert found[0].message.startswith(
        "F-Number: F-4 is stated, and E70C-6M is F-6 by QW-432. "
        "Change it to F-6, or correct the name E70C-6M."
    )
    assert found[1].message.startswith(
        "Filler product form: Bare solid is stated, and E70C-6M is Metal-cored by SFA-5.18."
    )


def test_stated_group_number_is_contradicted() -> None:
    (problem,) = contradictions(weld({"base_metal_a": "SA-516 70", "group_a": "1"}), SECTION_IX)
    assert problem.message.startswith("Group Number of side A: 1 is stated, and SA-516 70 is 2 by QW-422.")


@pytest.mark.parametrize(
    "named",
    [
        weld({"base_metal_a": "6061", "p_number_a": "23"}),
        weld({"base_metal_a": "6061", "p_number_a": "22; 23"}),
        weld({"base_metal_a": "Hardox 450", "p_number_a": "unassigned"}),
        weld({"base_metal_a": "7005", "p_number_a": "unassigned"}),
        weld({"p_number_a": "23"}),
        weld({"base_metal_a": "6061", "p_number_a": NOT_APPLICABLE}),
        weld(None, {"process": "SMAW", "filler_classification": "E7018", "f_number": "4", "a_number": "1"}),
        weld(
            None,
            {
                "process": "GMAW",
                "filler_classification": "Some wire",
                "f_number": "6",
                "filler_form": "solid",
            },
        ),
    ],
)
def test_nothing_is_contradicted_without_disagreement(named: Weld) -> None:
    assert contradictions(named, SECTION_IX) == []


def test_an_analysed_deposit_goes_before_the_usual_one_where_the_name_says_so() -> None:
    """Were another A-Number taken beside a filler whose usual one is known, leaving it out would cover what
    stating it does not."""
    named = weld(None, {"process": "SMAW", "filler_classification": "E7018", "a_number": "11"})
    (problem,) = contradictions(named, SECTION_IX)
    assert problem.key == "a_number"
    assert problem.message.startswith("A-Number: A-11 is stated, and E7018 is A-1 by QW-442.")
    assert "write the name as “E7018 (number stated)”" in problem.message
    said = {"process": "SMAW", "filler_classification": "E7018 (number stated)", "a_number": "11"}
    assert contradictions(weld(None, said), SECTION_IX) == []
    assert group(weld(None, said), SECTION_IX).lines[0]["a_number"] == of("11")


@pytest.mark.parametrize("filler", sorted(fillers(SECTION_IX).deposits))
def test_an_a_number_left_out_is_the_usual_one_stated(filler: str) -> None:
    line = {"process": "SMAW", "filler_classification": filler}
    usual = fillers(SECTION_IX).deposits[filler].number
    assert line_value("a_number", **line) == line_value("a_number", **line, a_number=usual) == of(usual)


def _mm(text: str, system: str = US) -> Interval:
    return read_quantity(text, "length", system).interval


def _strength(text: str) -> Decimal | None:
    return read_quantity(text, "stress", US).interval.low


def test_minimum_is_the_annealed_metals_whatever_the_temper() -> None:
    """Section IX asks 24 ksi of welded 6061-T6 (eng-tips.com thread 454614, 6061-T6 tensile test)."""
    found = minimum_tensile("6061-T6", SECTION_IX)
    assert found.strength == _strength("24 ksi")
    assert found.citation is not None
    assert found.citation.clause == "QW-422"
    assert found.needs == ()
    assert found.reason == ""


def test_minimum_comes_in_the_unit_system_asked_for() -> None:
    assert minimum_tensile("6061", SECTION_IX, system=SI).strength == Decimal(165)
    assert minimum_tensile("6061", SECTION_IX, system=US).strength == Decimal("165.474175")


def test_minimum_that_turns_on_form_and_thickness_says_so() -> None:
    nothing = minimum_tensile("5083", SECTION_IX)
    assert (nothing.strength, nothing.citation, nothing.needs) == (None, None, ("product_form", "thickness"))
    assert nothing.reason == "The minimum for 5083 depends on its product form and thickness."
    assert minimum_tensile("5083", SECTION_IX, _mm("1/4 in")).needs == ("product_form", "thickness")[:1]
    assert minimum_tensile("5083", SECTION_IX, product_form="plate").needs == ("thickness",)
    assert minimum_tensile("5083", SECTION_IX, product_form="pipe").strength == _strength("39 ksi")
    assert minimum_tensile("5083", SECTION_IX, _mm("1/4 in"), "plate").strength == _strength("40 ksi")
    assert minimum_tensile("5086", SECTION_IX).needs == ("thickness",)


def test_thickness_may_be_a_number_or_an_interval() -> None:
    assert minimum_tensile("5083", SECTION_IX, Decimal("6.35"), "plate").strength == _strength("40 ksi")
    assert minimum_tensile(
        "5083", SECTION_IX, Interval(Decimal(3), Decimal(12)), "plate"
    ).strength == _strength("40 ksi")
    across = minimum_tensile("5083", SECTION_IX, Interval(Decimal(30), Decimal(50)), "plate")
    assert across.strength is None
    assert across.reason == "The table of minima has no row for 5083 in that form and thickness."


def test_metal_without_a_minimum_says_so() -> None:
    for metal, name in (("7005", "7005"), ("Hardox 450", "Hardox 450"), ("356.0", "356.0")):
        found = minimum_tensile(metal, SECTION_IX, _mm("1/4 in"), "plate")
        assert (found.strength, found.needs) == (None, ())
        assert found.reason == f"ASME BPVC Section IX, 2023 has no minimum here for {name}."


def test_explanations_are_values_of_their_own() -> None:
    first, again = (explain_groups(weld({"base_metal_a": "6061"}), SECTION_IX) for _ in range(2))
    assert first == again
    assert isinstance(first[0], Grouped)

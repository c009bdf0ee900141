"""Results of tests as a person types them: read, or refused with how to write them."""

from __future__ import annotations

from decimal import Decimal as D

import pytest

from qualification.rules.testing.result_entries import is_blank, read_each, read_results
from qualification.rules.testing.result_fields import FIELDS
from qualification.rules.testing.results import (
    Bend,
    Broke,
    Cause,
    Cladding,
    Fracture,
    Impact,
    IndicationType,
    Macro,
    Opening,
    ResultKind,
    SpecimenForm,
    Tension,
    Visual,
    Volumetric,
)

TENSION = {
    "kind": "tension",
    "specimen": "T1",
    "width": "3/4",
    "thickness": ".250",
    "load": "4950 lbf",
    "broke": "weld",
}
BEND = {
    "kind": "face_bend",
    "specimen": "FB1",
    "thickness": "1/8",
    "former": "2 1/16",
    "weld_in_bend": "yes",
    "broken": "no",
    "openings": "none",
}


def one(entry: dict[str, str], system: str = "us") -> object:
    (result,), problems = read_results([entry], system)
    assert problems == ()
    return result


def messages(*entries: dict[str, str], system: str = "us") -> list[tuple[str, str]]:
    return [(problem.key, problem.message) for problem in read_results(entries, system)[1]]


def test_a_tension_test_is_read_in_the_units_it_was_written_in() -> None:
    # 4,950 lb over 0.750 x 1/4 in is 26,400 psi (worked by us).
    found = one(TENSION)
    assert isinstance(found, Tension)
    assert (found.width, found.thickness) == (D("19.05"), D("6.35"))
    assert found.strength("us") == D(26400)
    assert (found.broke, found.form, found.cladding) == (Broke.WELD, SpecimenForm.REDUCED, Cladding.NONE)


def test_a_metric_record_reads_bare_numbers_as_millimetres_and_kilonewtons() -> None:
    # 21.6 kN over 20 x 6 mm is 180 MPa (worked by us).
    found = one({**TENSION, "width": "20", "thickness": "6", "load": "21,6"}, "si")
    assert isinstance(found, Tension)
    assert found.strength("si") == D(180)


@pytest.mark.parametrize(
    ("broke", "wanted"), [("In the base metal", Broke.BASE_METAL), ("WELD", Broke.WELD), ("", Broke.UNKNOWN)]
)
def test_a_choice_is_read_by_key_or_label_and_never_made_up(broke: str, wanted: Broke) -> None:
    found = one({**TENSION, "broke": broke})
    assert isinstance(found, Tension)
    assert found.broke is wanted


def test_openings_are_read_with_corner_and_cause() -> None:
    found = one({**BEND, "openings": "1/16; 1/8 corner, 3/32 Corner slag; 1/32 lack of fusion"})
    assert isinstance(found, Bend)
    assert found.openings == (
        Opening(D("1.5875")),
        Opening(D("3.175"), True),
        Opening(D("2.38125"), True, Cause.SLAG),
        Opening(D("0.79375"), False, Cause.LACK_OF_FUSION),
    )


@pytest.mark.parametrize("none", ["none", "None", "no", "0", "nil"])
def test_no_opening_is_said_in_words(none: str) -> None:
    found = one({**BEND, "openings": none})
    assert isinstance(found, Bend)
    assert (found.openings, found.broken) == ((), False)


def test_nothing_written_is_not_taken_for_nothing_found() -> None:
    (bend,), problems = read_results([{**BEND, "openings": ""}], "us")
    assert isinstance(bend, Bend)
    assert bend.broken is None
    assert [p.message for p in problems] == [
        "FB1, openings: write “none” if it did not open, or the length of each opening."
    ]
    radiograph = {"kind": "radiograph", "specimen": "RT1", "accepted": "yes", "report": "R 7"}
    assert messages(radiograph) == [
        ("0.indications", "RT1, indications: write “none” if there is none, or each with its length.")
    ]


def test_a_bend_that_broke_needs_no_openings() -> None:
    found = one({**BEND, "broken": "yes", "openings": ""})
    assert isinstance(found, Bend)
    assert found.broken is True


def test_sections_and_examinations_are_read() -> None:
    macro = one(
        {
            "kind": "macro",
            "specimen": "M1",
            "cracks": "no",
            "complete_fusion": "yes",
            "leg_a": "5/16",
            "leg_b": "1/4",
            "root_flaw": "0",
        }
    )
    assert isinstance(macro, Macro)
    assert (macro.leg_difference, macro.root_flaw, macro.concavity) == (D("1.5875"), D(0), None)
    fracture = one(
        {
            "kind": "fracture",
            "specimen": "F1",
            "bent_flat": "no",
            "cracks": "no",
            "incomplete_root_fusion": "no",
            "flaws": "1/16; 1/32",
        }
    )
    assert isinstance(fracture, Fracture)
    assert fracture.flaw_sum == D("2.38125")
    visual = one({"kind": "visual", "specimen": "VT1", "cracks": "no", "complete_fusion": "yes"})
    assert isinstance(visual, Visual)
    assert visual.complete_penetration is None
    impact = one(
        {
            "kind": "impact",
            "specimen": "I1",
            "notch": "weld",
            "energies": "27 J; 31 J, 29 J",
            "temperature": "-20 °F",
        }
    )
    assert isinstance(impact, Impact)
    assert (impact.average, impact.temperature) == (D(29), D(-20))


def test_indications_are_read_with_their_place() -> None:
    found = one(
        {
            "kind": "ultrasonic",
            "specimen": "UT1",
            "accepted": "yes",
            "coupons": "2",
            "indications": "rounded 1/32; Linear 1/8 at 3 in; lack of penetration 1/2 @ 0",
        }
    )
    assert isinstance(found, Volumetric)
    assert [(i.type, i.length, i.at) for i in found.indications] == [
        (IndicationType.ROUNDED, D("0.79375"), None),
        (IndicationType.LINEAR, D("3.175"), D("76.2")),
        (IndicationType.LACK_OF_PENETRATION, D("12.7"), D(0)),
    ]
    assert found.coupons == 2


@pytest.mark.parametrize(
    ("change", "key", "message"),
    [
        ({"load": "-4950"}, "0.load", "T1, highest load: “-4950” is below zero; write a number above zero."),
        (
            {"load": "0"},
            "0.load",
            "T1, highest load: “0” is zero. Enter a number above zero, or leave it empty.",
        ),
        (
            {"width": "11,900"},
            "0.width",
            "T1, width: “11,900” can be read two ways. Write 11900 or 11.900.",
        ),
        (
            {"load": "heavy"},
            "0.load",
            "T1, highest load: “heavy” could not be read as a number with a unit. Write it like 4950 lbf.",
        ),
        (
            {"load": "22 MPa"},
            "0.load",
            "T1, highest load: “MPa” is not a unit this field takes. Use one of: lbf, kN, N.",
        ),
        (
            {"width": "9 ft"},
            "0.width",
            (
                "T1, width: “9 ft” lies outside what this field takes, 0.0394 to 5.9055 in (1 to 150 mm)."
                " Check the number and its unit."
            ),
        ),
        (
            {"thickness": "1/4-3/8"},
            "0.thickness",
            "T1, thickness: Enter one number, not a range; “1/4-3/8” holds two.",
        ),
        (
            {"broke": "outside"},
            "0.broke",
            (
                "T1, broke: “outside” is not one of the choices: In the base metal, In the weld, At the"
                " fusion line, In the heat-affected zone."
            ),
        ),
        (
            {"diameter": "1/2"},
            "0.diameter",
            "T1, diameter: the specimen shape is a flat reduced section. Clear this or choose another shape.",
        ),
        (
            {"form": "turned", "diameter": ".5"},
            "0.width",
            "T1, width: the specimen shape is not a flat one. Clear this or choose the flat reduced section.",
        ),
        ({"specimen": ""}, "0.specimen", "Tension test 1: enter the specimen's name, such as on the report."),
        ({"openings": "1/8"}, "0.kind", "T1: a tension test states no openings. Remove it."),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field(change: dict[str, str], key: str, message: str) -> None:
    assert (key, message) in messages({**TENSION, **change})


def test_other_contradictions_are_said() -> None:
    tube = {
        "kind": "tension",
        "specimen": "T1",
        "form": "full_section",
        "diameter": "1",
        "bore": "1",
        "load": "4950",
    }
    assert messages(tube) == [
        ("0.bore", "T1, bore: it is not smaller than the diameter. Correct one of the two.")
    ]
    flat = {"kind": "fracture", "specimen": "F1", "bent_flat": "yes", "cracks": "yes"}
    assert messages(flat) == [
        (
            "0.cracks",
            (
                "F1, cracks: it bent flat without breaking, so there is no broken face to look at. Clear"
                " this, or say that it broke."
            ),
        )
    ]
    impact = {
        "kind": "impact",
        "specimen": "I1",
        "energies": "30",
        "minimum_average": "20",
        "minimum_single": "27",
    }
    assert messages(impact) == [
        (
            "0.minimum_single",
            (
                "I1, smallest single value asked: it is above the smallest average asked. Swap the two or"
                " correct one."
            ),
        )
    ]
    bare = {"kind": "radiograph", "specimen": "RT1", "accepted": "yes", "indications": "1/8"}
    assert "does not say what it is" in messages(bare)[0][1]


def test_a_name_stands_once_among_results_of_a_kind() -> None:
    found = messages(TENSION, {**TENSION, "specimen": "t1"}, {**BEND, "specimen": "T1"})
    assert found == [
        (
            "1.specimen",
            "Specimen: t1 is entered twice among the 2 tension tests. Give each a name of its own.",
        )
    ]


def test_a_row_nobody_filled_in_is_no_result() -> None:
    blank = {"kind": "tension", "specimen": "T2", "position": "3G"}
    assert is_blank(blank)
    assert read_results([blank, TENSION], "us")[0] == (one(TENSION),)
    assert [read.result is None for read in read_each([blank, TENSION], "us")] == [True, False]


def test_a_kind_nobody_knows_is_refused_by_name() -> None:
    assert messages({"kind": "colour", "specimen": "H1"}) == [
        ("0.kind", "Kind: “colour” is not a kind of test result. Choose one of those listed.")
    ]


def test_every_kind_has_fields_a_name_and_a_reading() -> None:
    for kind in ResultKind:
        assert {"specimen", "position"} <= {definition.key for definition in FIELDS[kind]}
        assert kind.stem
        (read,) = read_each([{"kind": kind.value, "specimen": "X1", FIELDS[kind][1].key: "1"}], "us")
        assert read.result is not None
        assert read.result.kind is kind
    assert len({kind.stem for kind in ResultKind}) == len(ResultKind)


@pytest.mark.parametrize(
    ("typed", "psi"), [("78,400 psi", "78400.00"), ("78.4 ksi", "78400.00"), ("540.5 MPa", "78392.90")]
)
def test_a_strength_alone_is_taken_from_the_report(typed: str, psi: str) -> None:
    found = one({"kind": "tension", "specimen": "T1", "stated_strength": typed, "broke": "BM"})
    assert isinstance(found, Tension)
    assert found.strength("us") == D(psi)
    assert (found.worked_out("us"), found.broke) == (None, Broke.BASE_METAL)


def test_a_comma_groups_the_pounds_of_a_record_in_inches_and_is_asked_about_elsewhere() -> None:
    found = one({**TENSION, "load": "11,900"})
    assert isinstance(found, Tension)
    assert round(found.strength("us") or 0) == 63467  # over 0.1875 in²
    ((key, message),) = messages({**TENSION, "width": "20", "thickness": "6", "load": "11,900"}, system="si")
    assert (key, "can be read two ways" in message) == ("0.load", True)


def test_what_is_worked_out_comes_before_what_the_report_says_and_has_to_agree_with_it() -> None:
    agreed = one(
        {**TENSION, "stated_strength": "27,100 psi", "yield_strength": "18 ksi", "elongation": "11 %"}
    )
    assert isinstance(agreed, Tension)
    assert agreed.strength("us") == D(26400)
    assert (agreed.yield_strength, agreed.elongation) == (D("124.105631"), D(11))
    ((key, message),) = messages({**TENSION, "stated_strength": "27,300 psi"})
    assert key == "0.stated_strength"
    assert "load and cross-section give 182 MPa" in message


def test_a_strength_below_the_minimum_fails_whoever_worked_it_out() -> None:
    found = one({"kind": "tension", "specimen": "T1", "stated_strength": "57,900 psi"})
    assert isinstance(found, Tension)
    assert found.strength("us") == D("57900.00")

"""Gases as shops write them: purity, groups of ISO 14175, short names; each read and printed as typed."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from qualification.rules.core.gases import GasError, label, read_gas
from qualification.rules.core.quantities import US
from qualification.rules.core.values import MISSING, Stated
from qualification.rules.editions.loader import edition
from qualification.rules.entries.reading import read_weld
from qualification.rules.entries.showing import EnteredRow, entered_groups
from qualification.rules.materials.gas_notation import read_gas_entry
from qualification.rules.materials.iso_gases import designation
from qualification.rules.variables.definition import RecordKind

STEEL, STAINLESS = {"base_metal_a": "A36", "base_metal_b": "same"}, {"base_metal_a": "304"}


def read(text: str, joint: dict[str, str] | None = None) -> tuple[Stated, list[str], EnteredRow]:
    line = {"process": "GMAW", "shielding_gas": text}
    found = read_weld(joint or {}, [line], RecordKind.SPEC, US)
    rows = {r.key: r for g in entered_groups(joint or {}, [line], RecordKind.SPEC, US) for r in g.rows}
    return found.weld.lines[0]["shielding_gas"], [p.message for p in found.problems], rows["shielding_gas"]


GASES = [
    ("Argon 99.99", "Ar", "100 % Ar, purity 99.99 %"),
    ("argon 99,996 %", "Ar", "100 % Ar, purity 99.996 %"),
    ("99.99 % argon", "Ar", "100 % Ar, purity 99.99 %"),
    ("Ar 4.8", "Ar", "100 % Ar, grade 4.8, purity 99.998 %"),
    ("Ar 5.0", "Ar", "100 % Ar, grade 5.0, purity 99.999 %"),
    ("pure argon", "Ar", "100 % Ar"),
    ("I1", "Ar", "100 % Ar"),
    ("I2", "He", "100 % He"),
    ("C1", "CO2", "100 % CO₂"),
    ("100 CO2", "CO2", "100 % CO₂"),
    ("C25", "Ar 75 / CO2 25", "75 % Ar + 25 % CO₂"),
    ("c-18", "Ar 82 / CO2 18", "82 % Ar + 18 % CO₂"),
    ("SG-AC-25", "Ar 75 / CO2 25", "75 % Ar + 25 % CO₂"),
    ("SG-A", "Ar", "100 % Ar"),
    ("M21 80/20", "Ar 80 / CO2 20", "80 % Ar + 20 % CO₂, group M21 of ISO 14175"),
    ("ISO 14175 - M21 - ArC - 18", "Ar 82 / CO2 18", "82 % Ar + 18 % CO₂, group M21 of ISO 14175"),
    ("ISO 14175-M14-ArCO-5/2", "Ar 93 / CO2 5 / O2 2", "93 % Ar + 5 % CO₂ + 2 % O₂, group M14 of ISO 14175"),
    ("ISO 14175 - I1 - Ar", "Ar", "100 % Ar, group I1 of ISO 14175"),
    ("tri-mix 90He/7.5Ar/2.5CO2", "He 90 / Ar 7.5 / CO2 2.5", "90 % He + 7.5 % Ar + 2.5 % CO₂"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "key", "printed"), GASES, ids=[typed for typed, *_ in GASES])
def test_a_gas_is_read_and_printed_as_typed_with_its_reading(typed: str, key: str, printed: str) -> None:
    value, said, row = read(typed)
    assert (value, said) == (frozenset({key}), [])
    assert (row.first, row.beside or row.first) == (typed, printed)
    assert read_gas(label(key)) == key


@pytest.mark.parametrize("typed", ["75/25", "80 / 20", "90/10"])
def test_two_bare_shares_are_argon_and_carbon_dioxide_in_steel_and_ask_elsewhere(typed: str) -> None:
    low = min(int(part) for part in typed.split("/"))
    value, said, row = read(typed, STEEL)
    assert (value, said) == (frozenset({f"Ar {100 - low} / CO2 {low}"}), [])
    assert (row.first, row.beside) == (typed, f"{100 - low} % Ar + {low} % CO₂")
    for joint in ({}, STAINLESS, {"base_metal_a": "6061"}, {**STEEL, "base_metal_b": "304"}):
        value, said, row = read(typed, joint)
        assert (value, row.state) == (MISSING, "unread")
        assert f"it can be {100 - low}Ar/{low}CO2, {100 - low}Ar/{low}He or" in said[0]


def test_below_eight_percent_it_may_be_oxygen() -> None:
    assert read("98/2", STEEL)[0] is MISSING
    assert read("92/8", STEEL)[0] == frozenset({"Ar 92 / CO2 8"})


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Argomix 20", "State the composition"),
        ("tri-mix", "State the composition"),
        ("C2", "98Ar/2CO2"),
        ("75/20", "State the composition"),
        ("M20 - ArC - 18", "is of group M21"),
        ("M21 70/30", "is of group M31"),
        ("M21 80/10", "add up to 100"),
        ("M14 90/10", "State the composition"),
        ("ISO 14175 - M21 - XyC - 18", "State the composition"),
        ("ISO 14175 - M21 - ArC - 18/2", "State the composition"),
        ("ISO 14175 - M21 - ArC - ,", "does not say the shares"),
        ("SG-AC", "State the composition"),
        ("SG-B-25", "State the composition"),
    ],
)
def test_what_leaves_the_composition_open_is_refused_in_words(typed: str, words: str) -> None:
    value, said, _ = read(typed)
    assert value is MISSING
    assert words in said[0]


def test_a_group_alone_is_the_group_and_no_composition() -> None:
    line = {"process": "GMAW", "shielding_gas": "M21", "backing_gas": "I1"}
    found = read_weld(STEEL, [line], RecordKind.SPEC, US, speaks=edition("iso_15614_1_2017_level2").speaks)
    facts = found.weld.lines[0]
    assert found.problems == ()
    assert (facts["shielding_gas"], facts["iso_gas"]) == (MISSING, frozenset({"M21"}))
    assert (facts["gas_activity"], facts["backing_gas"]) == (frozenset({"active"}), frozenset({"Ar"}))
    assert found.readings[0, "shielding_gas"] == "group M21 of ISO 14175, composition not stated"
    assert read("M21")[2].first == "M21"


@given(
    st.sampled_from(["Ar", "He", "CO2"]), st.sampled_from(["CO2", "O2", "He", "N2", "H2"]), st.integers(1, 99)
)
def test_a_designation_of_iso_14175_reads_back(base: str, other: str, share: int) -> None:
    assume(base != other)
    key = read_gas(f"{base} / {other} {share}")
    assert read_gas_entry(designation(key)).key == key


@given(
    st.lists(
        st.sampled_from(
            [
                "Ar",
                "CO2",
                "75",
                "25",
                "/",
                " ",
                "M21",
                "I1",
                "C",
                "-",
                "4.8",
                "99.99",
                "%",
                "SG-",
                "ISO 14175",
            ]
        ),
        max_size=9,
    ).map("".join)
)
def test_any_jumble_is_read_or_refused_in_a_sentence(text: str) -> None:
    for family in ("", "carbon steel"):
        try:
            found = read_gas_entry(text, family)
        except GasError as error:
            said = str(error)
        else:
            said = f"{found.words}."
            assert bool(found.key) != bool(found.group)
        assert said.endswith(".")

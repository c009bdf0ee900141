"""A metal's designation is read as that metal, as a group, or not at all; never as another metal."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.quantities import US
from qualification.rules.core.values import MISSING
from qualification.rules.editions.loader import edition
from qualification.rules.entries.completing import LONGEST
from qualification.rules.entries.reading import EntryError, read_entry, read_weld
from qualification.rules.entries.showing import entered_groups
from qualification.rules.materials.catalogue import catalogue, find_metal, group_named, read_metal
from qualification.rules.materials.group_names import GroupError
from qualification.rules.variables.definition import RecordKind
from qualification.rules.variables.registry import variable
from tests.work import A_SECOND, calls_of

METALS = catalogue().metals

GROUPS = [
    ("P-1 Gr 1", "p_number", "1", "1"),
    ("p-1 group 1", "p_number", "1", "1"),
    ("P-No. 1 Group No. 2", "p_number", "1", "2"),
    ("P-1", "p_number", "1", ""),
    ("P1Gr1", "p_number", "1", "1"),
    ("P-No. 22", "p_number", "22", ""),
    ("P Number 22", "p_number", "22", ""),
    ("P\u20115A", "p_number", "5A", ""),
    ("M-23", "m_number", "23", ""),
    ("M23", "m_number", "23", ""),
    ("S-22", "s_number", "22", ""),
    ("S-Group 22", "s_number", "22", ""),
    ("Group 22.4", "iso_group", "22.4", ""),
    ("Gr. 22.4", "iso_group", "22.4", ""),
    ("22.4", "iso_group", "22.4", ""),
    ("ISO/TR 15608 group 8.1", "iso_group", "8.1", ""),
    ("Group II", "d11_group", "II", ""),
]


@pytest.mark.parametrize(("typed", "system", "number", "sub"), GROUPS)
def test_a_group_is_understood_as_the_group_and_as_no_metal(
    typed: str, system: str, number: str, sub: str
) -> None:
    group = group_named(typed)
    assert group is not None
    assert (group.system.stem, group.number, group.sub) == (system, number, sub)
    assert find_metal(typed) is None
    assert read_entry(typed, variable("base_metal_a"), RecordKind.TEST, US) is MISSING
    facts = read_weld({"base_metal_a": typed, "base_metal_b": "same"}, [], RecordKind.TEST, US).weld.joint
    assert "base_metal_a" not in facts
    assert facts[group.system.side("a")] == facts[group.system.side("b")] == frozenset({number})
    if sub:
        assert facts[group.system.sub_side("a")] == frozenset({sub})


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("P22", "two ways: P-Number 22, or the metal SA-335 P22. Write P-22 or SA-335 P22"),
        ("p1", "two ways: P-Number 1, or the metal SA-335 P1"),
        ("P23", "two ways"),
        ("P-5", "Write which: P-5A, P-5B, P-5C"),
        ("P-11", "Write which: P-11A, P-11B, P-11C"),
        ("P-91", "not a P-Number"),
        ("P-8 Gr 9", "no group 9"),
        ("Group 8", "Write which: Group 8.1, Group 8.2, Group 8.3"),
        ("M-99", "not a M-Number"),
    ],
)
def test_a_group_that_is_not_told_to_the_end_is_refused_in_words(typed: str, words: str) -> None:
    with pytest.raises(GroupError, match=re.escape(words)):
        group_named(typed)
    with pytest.raises(EntryError, match=re.escape(words)):
        read_entry(typed, variable("base_metal_a"), RecordKind.SPEC, US)


@pytest.mark.parametrize(
    ("key", "typed", "fits"),
    [
        ("asme_ix_2023", "P-23", True),
        ("asme_ix_2023", "M-23", False),
        ("aws_d1_2_2014", "M-23", True),
        ("aws_d1_2_2014", "P-23", False),
        ("iso_15614_1_2017_level2", "Group 8.1", True),
        ("us_navy_248_rev_1", "S-22", True),
        ("aws_d1_1_2020", "Group II", True),
        ("aws_d1_1_2020", "P-1 Gr 1", False),
    ],
)
def test_a_group_of_another_code_is_refused_in_words(key: str, typed: str, fits: bool) -> None:
    read = read_weld({"base_metal_a": typed}, [], RecordKind.SPEC, US, speaks=edition(key).speaks)
    said = [problem.message for problem in read.problems]
    assert (said == []) is fits
    assert fits or "which this code does not use. Name the metal" in said[0]


@pytest.mark.parametrize("typed", ["P11", "P12", "P91", "A335 P22", "SA-335 Gr. P22"])
def test_a_pipe_grade_stays_a_metal(typed: str) -> None:
    found = find_metal(typed)
    assert found is not None
    assert found.key == f"SA-335 P{typed.rpartition('P')[2]}"


@pytest.mark.parametrize(
    "typed",
    [
        "60 61", "6-061", "606-1", "SA-5167 0", "A57-250", "SA-387 1 1 Cl.1", "14301", "1-4301", "P-1 1",
        "AISI 1060", "1060 steel", "SAE 5052", "6061 steel", "ASTM A356", "AA 1018", "TP 6061",
        "aluminum 4130", "SS400", "stainless 1018",
    ],
)  # fmt: skip
def test_numbers_run_together_and_words_of_another_kind_name_no_metal(typed: str) -> None:
    assert find_metal(typed) is None


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("A516GR70", "SA-516 70"),
        ("SA516 GR.70", "SA-516 70"),
        ("SA 312 TP316L", "316L"),
        ("A312TP316L", "316L"),
        ("AlMg4,5Mn0,7", "5083"),
        ("AISI 4130 steel", "AISI 4130"),
        ("ASTM A36", "SA-36"),
        ("304 stainless steel", "304"),
        ("S 355 J2", "S355J2"),
        ("S355J2+N", "S355J2"),
        ("1.0577", "S355J2"),
        ("Q235B", "Q235B"),
        ("P235GH", "P235GH"),
        ("1.4301", "304"),
        ("X5CrNi18-10", "304"),
        ("1.4571", "316Ti"),
        ("A403 Gr. WP304L", "SA-403 WP304L"),
        ("316/316L", "316/316L"),
        ("SA-240 316/316L", "316/316L"),
        ("SA-517 Gr. J", "SA-517 J"),
        ("535", "535.0"),
        ("EN AW-6082 T6", "6082"),
        ("5059-H116", "5059"),
        ("7020-T6", "7020"),
    ],
)
def test_words_that_are_true_of_the_metal_do_no_harm(typed: str, key: str) -> None:
    found = find_metal(typed)
    assert found is not None
    assert found.key == key


_SIGNIFICANT = re.compile(r"\d+(?:[.]\d+)*|[A-Z]+")
_ROUND_A_NAME = frozenset(
    ["EN", "AW", "AC", "AA", "AL", "ALUMINUM", "ALUMINIUM", "ALLOY", "ASTM", "ASME", "AISI", "SAE", "UNS"]
    + ["GRADE", "GR", "TYPE", "TP", "SS", "STAINLESS", "STEEL", "CLASS", "CL"]
)


def _signs(name: str) -> tuple[str, ...]:
    """What a name consists of besides separators, case and the words that may stand around it; letters side
    by side count as one, numbers never do."""
    found: list[str] = []
    signs = _SIGNIFICANT.findall(name.upper().replace(",", "."))
    for sign, following in zip(signs, [*signs, ""][1:], strict=True):
        if sign in _ROUND_A_NAME and (sign != "AL" or following[:1].isdigit()):
            continue
        if found and found[-1].isalpha() and sign.isalpha():
            found[-1] += sign
        else:
            found.append(sign)
    return tuple(found)


def _names(key: str) -> set[tuple[str, ...]]:
    metal = METALS[key]
    spelled = [metal.key, *metal.aliases]
    spelled += [name[1:] for name in spelled if re.match(r"S[AB]-\d", name)]
    spelled += [f"A{name}" for name in spelled if re.fullmatch(r"[3567]\d{3}", name)]  # JIS H 4000
    return {_signs(name) for name in spelled}


_MUTATIONS = st.sampled_from(
    ["", " ", "-", "  ", ".", "/", " Gr ", " Gr. ", "Type ", "TP", "1", "0", "A", "S", "P", "P-", "T6", "-T6"]
    + [" O"]
)


@st.composite
def _nearly_a_name(draw: st.DrawFn) -> str:
    """A name of the catalogue with a separator, word, digit or letter put in, left out or changed."""
    metal = METALS[draw(st.sampled_from(sorted(METALS)))]
    name = draw(st.sampled_from([metal.key, *metal.aliases]))
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(name)))
        left_out = draw(st.integers(0, 2))
        name = name[:at] + draw(_MUTATIONS) + name[at + left_out :]
    return name


@pytest.mark.parametrize("typed", ["S235", "S355", "Q235", "SA-517", "SA-516", "A335"])
def test_a_family_of_grades_asks_for_the_grade(typed: str) -> None:
    read = read_weld({"base_metal_a": typed}, [], RecordKind.SPEC, US)
    assert "is not in the catalogue. Did you mean" in read.problems[0].message


@given(_nearly_a_name())
def test_no_designation_is_read_as_a_metal_of_another_name(typed: str) -> None:
    found = read_metal(typed)
    if found is None:
        return
    signs = _signs(typed)
    known = _names(found.metal.key)
    temper = _signs(found.temper)
    without = [signs[: len(signs) - len(temper)]] if temper and signs[-len(temper) :] == temper else [signs]
    if temper and signs[-len(temper) :] != temper:
        # `5083O` and `A356T6` join the temper's letter to the one before it.
        without = [_signs(typed.upper().rpartition(found.temper)[0])]
    if found.specification:
        said = _signs(found.specification)
        without = [each[len(said) :] for each in without if each[: len(said)] == said]
    assert any(each in known for each in without), (typed, found, signs)


@given(st.text("P0123456789ABCDEGMORS-. ", max_size=14))
def test_what_reads_as_a_group_is_never_a_metal_as_well(typed: str) -> None:
    try:
        group = group_named(typed)
    except GroupError:
        return
    if group is not None:
        assert find_metal(typed) is None


def test_what_is_written_in_the_name_goes_to_its_own_field_and_the_name_stays_as_typed() -> None:
    typed = {"base_metal_a": "6061-T6", "base_metal_b": "same"}
    read = read_weld(typed, [], RecordKind.TEST, US)
    assert read.weld.joint["temper_a"] == read.weld.joint["temper_b"] == "T6"
    assert read.problems == ()
    rows = {row.key: row for group in entered_groups(typed, [], RecordKind.TEST, US) for row in group.rows}
    assert (rows["base_metal_a"].first, rows["base_metal_a"].beside) == ("6061-T6", "6061, temper T6")
    assert (rows["temper_a"].state, rows["temper_a"].first) == ("derived", "T6, from 6061-T6")


def test_the_specification_goes_to_its_own_field() -> None:
    read = read_weld({"base_metal_a": "SA312 TP316L"}, [], RecordKind.TEST, US)
    assert read.weld.joint["base_metal_a"] == frozenset({"316L"})
    assert read.weld.joint["material_spec_a"] == "SA-312"
    assert read.readings[None, "base_metal_a"] == "316L, specification SA-312"


def test_what_is_stated_stays_and_a_contradiction_is_said() -> None:
    stated = read_weld({"base_metal_a": "6061-T651", "temper_a": "T6"}, [], RecordKind.TEST, US)
    assert (stated.weld.joint["temper_a"], stated.problems) == ("T6", ())
    (problem,) = read_weld({"base_metal_a": "6061-T6", "temper_a": "T4"}, [], RecordKind.TEST, US).problems
    assert "temper T6 is written behind the alloy and T4 under temper" in problem.message
    (problem,) = read_weld({"base_metal_a": "P-23", "p_number_a": "22"}, [], RecordKind.TEST, US).problems
    assert "P-23 is written here and 22 under P-Number" in problem.message
    assert read_weld({"base_metal_a": "P-23", "p_number_a": "P-23"}, [], RecordKind.TEST, US).problems == ()


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("A36", "SA-36"),
        ("6061-T6", "6061, temper T6"),
        ("P-1 Gr 1", "P-1 Gr. 1, any metal of it"),
        ("sa-36", "SA-36"),
        ("SA-36", ""),
        ("6061", ""),
        ("Alloy X 12", ""),
    ],
)
def test_a_reading_that_is_not_the_text_is_told(typed: str, read: str) -> None:
    readings = read_weld({"base_metal_a": typed, "p_number_a": ""}, [], RecordKind.SPEC, US).readings
    assert readings.get((None, "base_metal_a"), "") == read


def test_an_entry_of_thousands_of_characters_is_refused_at_once() -> None:
    for key in ("base_metal_a", "thickness_a", "shielding_gas", "filler_classification"):
        for text in ("P-1 Gr " * 20_000, "1" * 100_000, "Ar/" * 50_000, "( " * 50_000):

            def refused(key: str = key, text: str = text) -> None:
                with pytest.raises(EntryError, match=f"write at most {LONGEST}"):
                    read_entry(text, variable(key), RecordKind.SPEC, US)

            assert calls_of(refused) < A_SECOND / 1000

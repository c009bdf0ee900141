"""Whose paper a scan is by its name: laws over generated numbers and names. How shops name scans is common
practice: the record's number, then a page or a revision."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from wps.outside.scan_names import Numbers, bare

LETTERS, DIGITS = st.text("ABCDEFWT", min_size=1, max_size=4), st.text("0123456789", min_size=1, max_size=4)
BETWEEN = st.sampled_from(["-", "_", " ", "", " - ", "--"])
NUMBERS = st.builds(lambda a, sign, b: f"{a}{sign}{b}", LETTERS, st.sampled_from(["-", "", " ", "_"]), DIGITS)
ENDINGS = st.sampled_from([".pdf", ".PDF", ".png", ".jpg", ".JPEG", ""])
PAGES = st.sampled_from(
    ["", " p2", "_p 3", " page 12", " (2)", ", sheet 4", " rev 2", "-rev2", "r3", " Rev. B"]
)


@st.composite
def written(draw: st.DrawFn, number: str) -> str:
    """The number as somebody else writes it: other case, other signs between its parts."""
    parts = [number[at].swapcase() if draw(st.booleans()) else number[at] for at in range(len(number))]
    kept = [draw(BETWEEN) if sign in "-_ " else sign for sign in parts]
    return "".join(kept)


@given(st.data(), NUMBERS, PAGES, ENDINGS)
def test_a_number_is_found_however_it_is_written(
    data: st.DataObject, number: str, page: str, end: str
) -> None:
    name = f"{data.draw(written(number))}{page}{end}"
    assert Numbers([number]).fitting(name) == [number]


@given(NUMBERS, DIGITS, PAGES, ENDINGS)
def test_a_number_never_takes_the_paper_of_a_longer_one(number: str, more: str, page: str, end: str) -> None:
    longer = f"{number}{more}"
    assert Numbers([number]).fitting(f"{longer}{page}{end}") == []
    assert Numbers([number, longer]).fitting(f"{longer}{page}{end}") == [longer]
    assert Numbers([number, longer]).fitting(f"{number}{page}{end}") == [number]


@given(NUMBERS, st.sampled_from(["-", " ", "_"]), DIGITS)
def test_the_longest_that_fits_wins(number: str, sign: str, more: str) -> None:
    longer = f"{number}{sign}{more}"
    assert Numbers([number, longer]).fitting(f"{longer}.pdf") == [longer]
    assert Numbers([number, longer]).fitting(f"{number}.pdf") == [number]


@given(st.lists(NUMBERS, min_size=2, max_size=2))
def test_a_name_that_holds_two_numbers_fits_both(numbers: list[str]) -> None:
    first, second = numbers
    assume(bare(first) not in bare(second) and bare(second) not in bare(first))
    known = Numbers(numbers)
    assume(bare(f"{first}{second}") not in known.by_bare)
    assert known.fitting(f"{first} & {second}.pdf") == sorted(numbers)


@given(st.lists(NUMBERS, max_size=8), st.text(max_size=40))
def test_what_fits_is_among_the_numbers_and_stands_in_the_name(numbers: list[str], name: str) -> None:
    for found in Numbers(numbers).fitting(name):
        assert found in numbers
        assert bare(found) in bare(name)


@given(NUMBERS, PAGES)
def test_two_numbers_that_differ_only_in_signs_are_not_told_apart(one: str, page: str) -> None:
    twin = one.replace("-", " ") if "-" in one else f"{one[0]}-{one[1:]}"
    assert Numbers([one, twin]).fitting(f"{one}{page}.pdf") == sorted({one, twin})


@pytest.mark.parametrize(
    ("name", "fits"),
    [
        ("WT-011.pdf", ["WT-011"]),
        ("wt_011 p2.pdf", ["WT-011"]),
        ("WT011r2.png", ["WT-011"]),
        ("Scan of WT-011 rev 1.JPG", ["WT-011"]),
        ("2026-04-27 WT-011.pdf", ["WT-011"]),
        ("WT\u2011011.pdf", ["WT-011"]),
        ("AL-01.pdf", ["AL-01"]),
        ("AL-010.pdf", []),
        ("AL-01.5.pdf", []),
        ("XAL-01.pdf", []),
        ("AL-01A.pdf", []),
        ("AL-01 and WT-011.pdf", ["AL-01", "WT-011"]),
        ("mill certificate.pdf", []),
        (".pdf", []),
        ("", []),
    ],
)
def test_names_as_shops_write_them(name: str, fits: list[str]) -> None:
    assert Numbers(["WT-011", "AL-01"]).fitting(name) == fits

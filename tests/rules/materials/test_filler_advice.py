"""Advice on aluminium fillers: each piece against its source, and the table refused where it is not sound."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest

from qualification.rules.core.findings import Provenance
from qualification.rules.materials.catalogue import catalogue
from qualification.rules.materials.filler_advice import (
    PURPOSES,
    advice_table,
    build_advice,
    filler_advice,
    filler_choices,
)
from qualification.rules.tabular import edition
from qualification.rules.tabular.schema import TableError

METALS, FILLERS = catalogue().metals, catalogue().fillers
RAW = edition.read_files(edition.ROOT / "catalogue")["filler_advice.toml"]


def _keys(metal_a: str, metal_b: str, filler: str = "", **more: bool) -> list[str]:
    return [
        advice.key for advice in filler_advice(METALS[metal_a], METALS[metal_b], FILLERS.get(filler), **more)
    ]


def test_4xxx_filler_on_more_than_2_5_percent_magnesium_is_advised_against() -> None:
    """https://www.bolilai.net/2022/05/10/al-alloy-filler-metal-selection/: no 4043 above 2.5 % magnesium."""
    for metal in ("5083", "5086", "5154", "5456"):
        assert _keys(metal, metal, "ER4043")[0] == "silicon_on_magnesium"
        assert "silicon_on_magnesium" not in _keys(metal, metal, "ER5356")
    assert _keys("6061", "5083", "ER4043")[0] == "silicon_on_magnesium"
    assert "silicon_on_magnesium" not in _keys("6061", "6063", "ER4043")


def test_5052_stands_at_the_edge_and_gets_a_caution_only() -> None:
    assert _keys("5052", "6061", "ER4043") == ["silicon_on_magnesium_borderline", "colour_after_anodising"]


def test_hot_service_is_cautioned_for_filler_and_for_metal() -> None:
    assert _keys("6061", "6061", "ER5356") == ["filler_in_hot_service"]
    assert _keys("5454", "5454", "ER5554") == []
    assert _keys("5083", "5083", "ER5183") == ["filler_in_hot_service", "metal_in_hot_service"]


def test_6xxx_is_not_welded_without_filler() -> None:
    assert _keys("6061", "6063", without_filler=True) == ["6xxx_without_filler"]
    assert _keys("3003", "3003", without_filler=True) == []
    assert _keys("6061", "6061") == []


@pytest.mark.parametrize("metal", ["2014", "2024", "7075"])
def test_alloys_that_are_not_arc_welded_are_named(metal: str) -> None:
    assert _keys("6061", metal, "ER5356")[0] == "not_for_arc_welding"


def test_advice_on_aluminium_is_silent_on_steel() -> None:
    assert _keys("SA-36", "304L", "ER309L") == []


def test_every_advice_is_a_sentence_and_says_how_far_it_is_confirmed() -> None:
    for rule in advice_table().rules:
        assert re.fullmatch(r"[A-Z0-9].*\.", rule.advice.sentence), rule.advice.key
        assert rule.advice.origin.provenance is Provenance.MEMORY or rule.advice.origin.sources, (
            rule.advice.key
        )


def test_usual_fillers_of_a_pair_are_found_from_either_side() -> None:
    one, other = (
        filler_choices(METALS["6061"], METALS["5083"]),
        filler_choices(METALS["5083"], METALS["6061"]),
    )
    assert one == other
    assert {c.purpose: c.fillers for c in one} == {
        "strength": ("ER5356", "ER5183"),
        "cracking": ("ER5356",),
        "colour": ("ER5356",),
        "hot_service": (),
    }
    assert filler_choices(METALS["SA-36"], METALS["SA-36"]) == ()


# Consumable maker's handbook, groove welds: base alloy and the filler its typical joint was made with,
# http://alcotec.com/us/en/support/epdf/AlcoTec-Technical-Guide/files/assets/basic-html/page-11.html
HANDBOOK = {
    "5083": "ER5183",
    "5086": "ER5356",
    "5154": "ER5654",
    "5454": "ER5554",
    "5456": "ER5556",
    "2219": "ER2319",
    "6061": "ER5356",
}


@pytest.mark.parametrize(("metal", "filler"), HANDBOOK.items())
def test_filler_for_strength_is_among_the_handbooks(metal: str, filler: str) -> None:
    strongest = next(c for c in filler_choices(METALS[metal], METALS[metal]) if c.purpose == "strength")
    assert filler in strongest.fillers


def test_the_strongest_filler_for_5454_comes_before_the_more_ductile_one() -> None:
    """A published selection table has ER5356 for strength and ER5554 for ductility."""
    chosen = {c.purpose: c.fillers for c in filler_choices(METALS["5454"], METALS["5454"])}
    assert chosen["strength"] == ("ER5356", "ER5554")


def test_5456_keeps_its_colour_with_er5556() -> None:
    chosen = {c.purpose: c.fillers for c in filler_choices(METALS["5456"], METALS["5456"])}
    assert chosen["colour"] == ("ER5556",)


def test_no_filler_is_recommended_against_the_advice() -> None:
    for pair in advice_table().pairs:
        for a in pair.side_a:
            for b in pair.side_b:
                for choice in pair.choices:
                    for filler in choice.fillers:
                        found = filler_advice(METALS[a], METALS[b], FILLERS[filler])
                        assert all(advice.level != "avoid" for advice in found), (a, b, filler)
                        if choice.purpose == "hot_service":
                            assert "filler_in_hot_service" not in {advice.key for advice in found}, (
                                a,
                                b,
                                filler,
                            )
                    assert choice.purpose in PURPOSES


def _changed(table: str, changes: dict[str, Any]) -> dict[str, Any]:
    """The parsed file with columns of the first row of a table replaced, or taken out where `None`."""
    raw = copy.deepcopy(RAW)
    raw[table][0] = {k: v for k, v in {**raw[table][0], **changes}.items() if v is not None}
    return raw


@pytest.mark.parametrize(
    ("table", "changes", "message"),
    [
        ("advice", {"metals": ["9999"]}, "'9999' is not a metal of the catalogue"),
        ("advice", {"key": "6xxx_without_filler"}, "advice 3 (6xxx_without_filler): is listed twice"),
        (
            "advice",
            {"filler_series": None, "magnesium_above": None},
            "speaks of every joint; give a condition",
        ),
        ("advice", {"without_filler": True}, "asks for a filler and for none"),
        ("advice", {"level": "forbid"}, "'forbid' is not one of avoid, caution, note"),
        ("advice", {"filler_series": ["4043"]}, "expected first digits of alloys"),
        ("pair", {"strength": ["ER9999"]}, "pair 1: 'ER9999' is not a filler of the catalogue"),
        (
            "pair",
            {"side_a": ["3003"], "side_b": ["3003"]},
            "pair 2: 3003 with 3003 stands in an earlier pair",
        ),
        ("pair", dict.fromkeys(PURPOSES), "names no filler for any purpose"),
    ],
)
def test_advice_is_refused_naming_the_row(table: str, changes: dict[str, Any], message: str) -> None:
    with pytest.raises(TableError) as refused:
        build_advice(_changed(table, changes), catalogue())
    assert message in str(refused.value)

"""What to change next follows from what was seen, from a published cause, and from nothing else."""

from __future__ import annotations

from copy import deepcopy

import pytest

from qualification.rules.core.facts import Weld
from qualification.rules.entries.reading import read_weld
from qualification.rules.tabular import edition
from qualification.rules.tabular.schema import TableError
from qualification.rules.trials.practice import FOLDER, build, next_changes, practice
from qualification.rules.variables.definition import RecordKind


def weld(metal: str = "6061", **line: str) -> Weld:
    read = read_weld({"base_metal_a": metal}, [{"process": "GMAW", **line}], RecordKind.TRIAL, "us")
    assert read.problems == ()
    return read.weld


def keys(of: Weld) -> set[str]:
    return {each.key for each in next_changes(of)}


def test_cold_toes_want_more_low_level_current_or_less_travel_in_a_double_pulsed_program() -> None:
    assert "cold_toes_low_level" in keys(weld(seen_wetting="cold", current_programme="double_pulsed"))
    plain = keys(weld(seen_wetting="cold", current_programme="steady"))
    assert "cold_toes_travel" in plain
    assert "cold_toes_low_level" not in plain


def test_a_good_bead_changes_nothing() -> None:
    good = {
        "seen_wetting": "good",
        "seen_penetration": "sound",
        "seen_porosity": "none",
        "seen_cracks": "none",
        "seen_crater": "none",
        "quick_break": "held",
        "quick_bend": "clean",
    }
    assert keys(weld(**good)) == keys(weld()) == set()


def test_a_metal_has_its_own_cause() -> None:
    assert keys(weld(seen_crater="yes")) == {"crater_aluminium"}
    assert keys(weld("SA-36", seen_crater="yes")) == {"crater_other"}
    assert keys(weld("SA-36", seen_soot="much")) == set()


def test_every_row_can_come_up() -> None:
    metals = {"aluminium": "6061", "carbon steel": "SA-36", "stainless austenitic": "304"}
    for row in practice().changes:
        metal = next((name for family, name in metals.items() if not row.metals or family in row.metals))
        line = {name: sorted(choices)[0] for name, choices in row.when.items() if name != "process"}
        assert row.change.key in keys(weld(metal, **line))


@pytest.mark.parametrize("when", [{"seen_wetting": ["icy"]}, {"seen_nothing": ["yes"]}])
def test_a_row_that_could_never_come_up_is_refused(when: dict[str, list[str]]) -> None:
    files = deepcopy(edition.read_files(edition.ROOT / FOLDER))
    files["next_changes.toml"]["change"][0]["when"] = when
    with pytest.raises(TableError, match="has no"):
        build(files)

"""Everyday logs give the known energy, say what is doubtful, or are refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.rules.waveform.corpus import Case, cases
from tests.rules.waveform.read_case import found_in


def test_logs_of_everyday_quality(tmp_path: Path) -> None:
    """One after the other, since writing them all takes seconds and hundreds of megabytes."""
    names, wrong = [], []
    for case in cases():
        names.append(case.name)
        try:
            _comes_out(case, tmp_path / "log.csv")
        except AssertionError as error:
            wrong.append(f"{case.name}: {error}")
    assert wrong == []
    assert len(set(names)) == len(names) > 50


def _comes_out(case: Case, path: Path) -> None:
    found = found_in(case, path)
    if case.energy is None:
        assert found.refused in case.says, (found.refused, found.sentence, found.energy)
        return
    assert not found.refused, found.sentence
    assert set(case.says) <= set(found.doubts), found.doubts
    assert case.at_least or "clipped" not in found.doubts
    if case.at_least:
        assert found.energy < case.energy
        assert found.energy + 2 * found.uncertainty > case.energy
        return
    assert found.energy == pytest.approx(case.energy, rel=case.energy_tolerance)
    # Times of three digits tell the step no closer than a hundredth of a second in nine.
    assert found.seconds == pytest.approx(case.seconds, abs=0.01 if "coarse_time" in case.says else 0.003)
    assert found.programme == case.programme

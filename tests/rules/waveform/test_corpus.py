"""Everyday logs give the known energy, say what is doubtful, or are refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.rules.waveform.corpus import Case, cases
from tests.rules.waveform.read_case import found_in

CASES = list(cases())


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_log_of_everyday_quality(case: Case, tmp_path: Path) -> None:
    found = found_in(case, tmp_path / "log.csv")
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

"""An envelope of readings as plain lists, and back: so it is kept with an analysis and in a report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from qualification.rules.waveform.envelope import Envelope

ENVELOPE = ("seconds", "volts_low", "volts_high", "amps_low", "amps_high")


def lists(found: Envelope) -> dict[str, Any]:
    """An envelope as plain lists, to be kept and plotted."""
    return {name: [float(f"{x:.6g}") for x in getattr(found, name)] for name in ENVELOPE} | {
        "per_point": found.per_point
    }


def of_lists(kept: Mapping[str, Any]) -> Envelope:
    """An envelope again from what `lists` made of it."""
    arrays = {name: np.asarray(kept[name]) for name in ENVELOPE}
    return Envelope(**arrays, per_point=kept["per_point"])

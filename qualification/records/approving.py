"""What approval asks of a record and what it freezes; each kind of record registers its own answers.

The answers rest on the rules and on what other records say, so they stand above the models
(`snapshots/approval.py`, and the `approval.py` of the upper app) and are registered as the apps start.
"""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from qualification.models.record import Record


@singledispatch
def obstacles_to_approval(record: Record) -> list[str]:
    """Sentences that say why the record cannot be approved yet; empty when it can."""
    raise TypeError(f"nothing is registered for the approval of a {type(record).__name__}")


@singledispatch
def frozen_content(record: Record) -> dict[str, Any]:
    """What an approval of the record freezes, as plain JSON values."""
    raise TypeError(f"nothing is registered that an approval of a {type(record).__name__} freezes")

"""The geometry of papers, for one file or a folder of them."""

from __future__ import annotations

from tests.documents.paper_checks import OF_A_FORM, beyond_margins, heads_not_repeated, overlaps
from tests.documents.pdf_geometry import Paper

NARROWEST = OF_A_FORM[0]
"""The narrowest side margin of any paper."""


def problems_of(pdf: bytes) -> list[str]:
    """What lies beyond the margins or over something else, and tables that go on without their head."""
    printed = Paper(pdf)
    runs = printed.runs()
    return [
        *beyond_margins(runs, printed.sizes, NARROWEST),
        *overlaps(runs),
        *heads_not_repeated(runs, printed.root()),
    ]

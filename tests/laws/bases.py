"""The bases of the cases, which the documents of the laws begin from."""

from __future__ import annotations

from functools import cache

from qualification.rules.laws.documents import Document
from tests.rules.readers.case_files import bases


@cache
def case_bases() -> dict[str, Document]:
    return {name: {"edition": "asme_ix_2023", **body} for name, body in bases().items()}

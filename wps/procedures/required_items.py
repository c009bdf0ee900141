"""Does a procedure state what its code wants on it."""

from __future__ import annotations

from collections.abc import Sequence

from qualification.evidence.coverage import edition_of
from qualification.models import ProcedureTest
from qualification.rules.entries.reading import ReadWeld, read_weld
from qualification.rules.required.check import Item
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import RecordKind
from qualification.snapshots.required_items import fields_of, items_of
from wps.models import Spec


def spec_items(spec: Spec) -> tuple[Item, ...]:
    """Every item of a procedure, as stored."""
    edition = edition_of(spec.edition)
    read = read_weld(spec.joint, spec.lines, RecordKind.SPEC, spec.units, speaks=edition.speaks)
    return items_on_desk(spec, edition, read, list(spec.tests.all()), spec.units, spec.prequalified)


def items_on_desk(
    spec: Spec,
    edition: Edition,
    read: ReadWeld,
    tests: Sequence[ProcedureTest],
    units: str,
    prequalified: bool,
) -> tuple[Item, ...]:
    """Every item of a procedure being written; its number and customer are those `spec` has in hand."""
    fields = {
        **fields_of(spec),
        "customer": spec.customer,
        "tests": ", ".join(test.reference for test in tests) or ("Prequalified" if prequalified else ""),
    }
    return items_of(edition, RecordKind.SPEC, read, fields, units)

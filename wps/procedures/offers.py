"""What each of many procedures makes of each of many welds, by verdicts alone, asked for all at once."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

import numpy as np

from qualification.rules.core.facts import Side, Weld
from qualification.rules.core.findings import Verdict
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.ranges.at_once import Verdicts, answers_at_once
from qualification.rules.ranges.house import held_to
from qualification.rules.ranges.inside_box import as_welded
from qualification.rules.ranges.prequalified import has_prequalified
from qualification.rules.ranges.ranges import TestRange
from wps.models import Spec
from wps.procedures.procedure_match import ApprovedProcedures


@dataclass
class _Alike:
    """Procedures whose tests say the same, and the welds made by one of them that are asked about."""

    spec: Spec
    ranges: Sequence[TestRange]
    made: dict[tuple[int, int], Weld] = field(default_factory=dict)
    """By the weld and the claim it is made by."""
    cells: dict[tuple[int, int, str], list[int]] = field(default_factory=dict)
    """Which procedures make it so; the customer they are kept for decides which limits it is held to."""


def offers(shelf: ApprovedProcedures, welds: Sequence[tuple[Weld, str]]) -> list[int]:
    """For each weld, with the unit system it is drawn in, how many procedures of the shelf would cover it."""
    found = verdicts_at_once(shelf, welds, Verdict.COVERED)
    return [int(count) for count in (found <= Verdict.COVERED).sum(axis=1)]


def verdicts_at_once(
    shelf: ApprovedProcedures,
    welds: Sequence[tuple[Weld, str]],
    claimed_at_most: Verdict = Verdict.UNKNOWN,
    without: str = "",
) -> Verdicts:
    """As `ApprovedProcedures.fit`: a row for each weld, a column for each procedure. The tests of a
    procedure are asked where its claim answers no worse than `claimed_at_most`: where the claim does not hold
    the weld they change nothing. Of procedures that claim the same and rest on tests that say the same one is
    asked. `without` is the number of a test to be left out, as if it had lapsed."""
    found = np.empty((len(welds), len(shelf.specs)), np.int8)
    if not shelf.specs or not welds:
        return found
    claims = shelf.claims
    distinct: dict[Hashable, int] = {}
    claimed = [
        distinct.setdefault((claim.joint, claim.lines), len(distinct))
        for claim in (shelf.claim(spec) for spec in shelf.specs)
    ]
    without_test = has_prequalified(shelf.edition)
    groups: dict[Hashable, _Alike] = {}
    ranges = [[tested for tested in shelf.ranges(spec) if tested.record != without] for spec in shelf.specs]
    says = [_says(shelf, spec, ranges[at]) for at, spec in enumerate(shelf.specs)]
    for number, (weld, units) in enumerate(welds):
        found[number] = claims.verdicts(weld)
        for at in np.flatnonzero(found[number] <= claimed_at_most).tolist():
            spec = shelf.specs[at]
            if spec.prequalified and without_test:
                found[number, at] = shelf.fit(weld, spec, units).verdict
                continue
            alike = groups.setdefault(says[at], _Alike(spec, ranges[at]))
            key = (number, claimed[at])
            if key not in alike.made:
                alike.made[key] = as_welded(weld, shelf.claim(spec))
            alike.cells.setdefault((*key, spec.customer), []).append(at)
    for alike in groups.values():
        _ask(shelf, alike, found)
    return found


def _says(shelf: ApprovedProcedures, spec: Spec, ranges: Sequence[TestRange]) -> Hashable:
    """The same for procedures that cover the same, if they make a weld alike."""
    records = [tested.record for tested in ranges]
    lines = tuple(
        (records.index(tested.record), tuple(line.says for line in tested.lines)) for tested in ranges
    )
    return lines, spec.number if shelf.decisions.get(spec.number) else ""


def _ask(shelf: ApprovedProcedures, alike: _Alike, found: Verdicts) -> None:
    edition = shelf.edition_for(alike.spec)
    wholes = [derive(group(made, edition)) for made in alike.made.values()]
    answers = answers_at_once(wholes, [alike.ranges], edition, Side.PROCEDURE).welds[:, 0]
    by_tests = dict(zip(alike.made, answers.tolist(), strict=True))
    for (number, claim, customer), procedures in alike.cells.items():
        worst = max(by_tests[number, claim], _worst_of_limits(shelf, alike.made[number, claim], customer))
        found[number, procedures] = np.maximum(found[number, procedures], np.int8(worst))


def _worst_of_limits(shelf: ApprovedProcedures, made: Weld, customer: str) -> int:
    said = held_to(made, shelf.house_of(customer), shelf.edition)
    return max((int(finding.verdict) for line in said for finding in line), default=0)

"""The form of a test record's results: a row per specimen the code asks for, and rows for what came on top.

As with the entries of the weld, nothing typed keeps a draft from being saved. What cannot be read, and what
the checks of the code say of each result, is put beside it; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.datastructures import MultiValueDict

from qualification.evidence.coverage import SIDES, edition_of, outcome_of, result_problems
from qualification.forms.pasted_results import PasteRefused, put_in, read_block
from qualification.forms.result_rows import ParticularsForm, ResultRow, row_prefix
from qualification.forms.sound_rows import SOUND, filled, may_fill, sound_entries, words_of
from qualification.models import CouponRecord
from qualification.posted import number_in
from qualification.rules.tabular.schema import TableError
from qualification.rules.testing.acceptance.check import ResultMark
from qualification.rules.testing.alternatives import PREFIX, way_meant, way_name, way_value
from qualification.rules.testing.outcome import checks_of
from qualification.rules.testing.outcome_parts import OutcomeLine, RequirementStatus
from qualification.rules.testing.outcome_words import (
    VERDICTS,
    citation_content,
    judged_content,
    outcome_content,
)
from qualification.rules.testing.requirements import Requirement, Requirements
from qualification.rules.testing.result_entries import is_blank, read_each
from qualification.rules.testing.result_fields import FIELDS
from qualification.rules.testing.results import ResultKind
from qualification.rules.testing.specimens import say_specimen
from qualification.rules.testing.strength import NoMinimum, minimum_of
from qualification.rules.testing.test_options import LABELS

COUNT, BUTTON, ADD_KIND, PASTE = "row_count", "rows", "add_kind", "paste"
"""Names of the row counter, of the buttons that add or remove a row, and of the kind to be added."""
MOST_ROWS = 60

Entry = dict[str, str]


@dataclass(frozen=True)
class AlternativeChoice:
    """One of the code's alternatives, as a choice on the form."""

    value: str
    words: str
    meant: bool


@dataclass(frozen=True)
class Section:
    """The rows of one requirement, or of what came on top of all of them."""

    key: str
    title: str
    because: str
    citation: dict[str, Any] | None
    way_name: str
    ways: list[AlternativeChoice]
    specimens: list[str]
    """How the specimens of the chosen way are made."""
    rows: list[ResultRow]
    verdict: str
    state_words: str
    sentence: str
    sound: str = ""
    """What one press writes into the empty fields of its rows; empty where nothing is left to fill."""


class ResultsForms:
    """All rows of one record. With `data` (a POST) what was typed is read instead of what is stored.

    The record in hand takes the entries on, so that it can be judged and saved; nothing is stored here.
    """

    def __init__(self, record: CouponRecord, data: MultiValueDict[str, str] | None = None) -> None:
        self.record, self.system = record, record.units
        self.arranged = bool(data and data.get(BUTTON))
        """True when the POST asked for rows to be added or removed, and not for saving."""
        self.pasted = self.paste_refused = ""
        entries = [dict(entry) for entry in record.results if _is_kind(entry.get("kind", ""))]
        if data is not None:
            record.tests_wanted, entries = _typed_wanted(data), _typed_rows(data)
            entries = self._with_pasted(_rearranged(entries, data), data)
            record.results = _kept(entries)
        self.outcome = outcome_of(record)
        required = self.outcome.requirements
        self.entries = _filled_up(entries, required, record.tests_wanted)
        self.asked = asked_fields(record)
        if data is not None and data.get(BUTTON, "").startswith(f"{SOUND}:"):
            self._fill_sound(data[BUTTON].partition(":")[2])
        self.read = read_each(self.entries, self.system)
        self.rows = [
            ResultRow(i, _kind(entry), entry, self.system, self.asked.get(_kind(entry), frozenset()))
            for i, entry in enumerate(self.entries)
        ]
        self._say()
        wanted_problems = tuple(p for p in result_problems(record) if "." not in p.key)
        self.particulars = ParticularsForm(
            record.tests_wanted, wanted_problems, self.system, is_asked=self._lacks_minimum()
        )

    def _with_pasted(self, entries: list[Entry], data: MultiValueDict[str, str]) -> list[Entry]:
        """The rows with a pasted block among them; a block that is not understood stays in its field."""
        if data.get(BUTTON) != PASTE:
            return entries
        self.pasted = data.get("pasted", "")
        try:
            found = put_in(entries, read_block(self.pasted))[:MOST_ROWS]
        except PasteRefused as refused:
            self.paste_refused = str(refused)
            return entries
        self.pasted = ""
        return found

    def _fill_sound(self, key: str) -> None:
        """Fill the empty fields of a requirement's rows as a sound specimen states them, and judge again."""
        for requirement in self.outcome.requirements.requirements:
            if _key_of(requirement) == key:
                self.entries = [
                    filled(entry, self._sound(_kind(entry))) if _is_of(entry, requirement) else entry
                    for entry in self.entries
                ]
        self.record.results = _kept(self.entries)
        self.outcome = outcome_of(self.record)

    def _lacks_minimum(self) -> bool:
        """True where a tension test waits for a minimum that the tables do not hold."""
        required = self.outcome.requirements
        if not any(ResultKind.TENSION in each.kinds for each in required.requirements):
            return False
        edition = edition_of(self.record.edition)
        return isinstance(minimum_of(required.measured.joint, edition, self.system), NoMinimum)

    def _sound(self, kind: ResultKind) -> Entry:
        required = self.outcome.requirements
        is_groove = required.measured.joint.is_only("weld_type", "groove")
        asked = self.asked.get(kind, frozenset())
        return sound_entries(kind, required.specimen(kind), self.system, asked, is_groove)

    def _say(self) -> None:
        """Put readings, problems and checks beside each row."""
        for row, read in zip(self.rows, self.read, strict=True):
            row.say(read, self.system)
        filled = [row for row, read in zip(self.rows, self.read, strict=True) if read.result is not None]
        for line in self.outcome.lines:
            for judged in line.judged:
                filled[judged.index].judged = judged_content(judged, self.system)
        for misfit in self.outcome.misfits:
            filled[misfit.index].misfit = misfit.message
        for aside in self.outcome.set_aside:
            filled[aside.index].is_set_aside = True

    @property
    def content(self) -> dict[str, Any]:
        """The outcome in words."""
        return outcome_content(self.outcome, self.system)

    @property
    def sections(self) -> list[Section]:
        """The requirements in the code's order, then everything else."""
        aside = [row for row in self.rows if row.is_set_aside]
        left = [row for row in self.rows if not row.is_set_aside]
        found = []
        for line in self.outcome.lines:
            if line.requirement is not None:
                mine = [row for row in left if _is_of(row.entry, line.requirement)]
                left = [row for row in left if row not in mine]
                found.append(self._section(line, line.requirement, mine))
        if left:
            further = next((line for line in self.outcome.lines if line.requirement is None), None)
            found.append(_further(left, further))
        return found + ([_set_aside(aside)] if aside else [])

    def _section(self, line: OutcomeLine, requirement: Requirement, rows: list[ResultRow]) -> Section:
        meant = way_meant(requirement, self.record.tests_wanted)
        where = f", position {requirement.position}" if requirement.position else ""
        ways = [
            AlternativeChoice(way_value(way), way.words, way is meant) for way in requirement.alternatives
        ]
        return Section(
            key=_key_of(requirement),
            title=meant.words[:1].upper() + meant.words[1:] + where,
            because=requirement.because,
            citation=citation_content(requirement.citation),
            way_name=way_name(requirement),
            ways=ways if len(ways) > 1 else [],
            rows=rows,
            specimens=[say_specimen(s, self.system) for s in meant.specimens if s.thickness is not None],
            verdict=VERDICTS[line.standing],
            state_words=line.standing.words,
            sentence=line.sentence,
            sound=self._sound_words(rows),
        )

    def _sound_words(self, rows: list[ResultRow]) -> str:
        """What the button of these rows writes, once for each kind that says something else."""
        said = {
            words_of(row.kind, sound): None
            for row in rows
            if (sound := self._sound(row.kind)) and may_fill([row.entry], sound)
        }
        return "; ".join(said)

    @property
    def kinds_to_add(self) -> list[tuple[str, str]]:
        """Kinds of result the record takes; all of them while that cannot be told."""
        taken = self.outcome.requirements.kinds or frozenset(ResultKind)
        return [(kind.value, kind.words) for kind in ResultKind if kind in taken]

    @property
    def problem_links(self) -> list[tuple[str, str]]:
        """Id of the field and message of each entry that needs a look, for the summary on top."""
        found = []
        for form in (*self.rows, self.particulars):
            found += [("", str(error)) for error in form.non_field_errors()]
            found += [(bound.auto_id, str(error)) for bound in form for error in bound.errors]
        return found + [(f"row-{row.index}", row.misfit) for row in self.rows if row.misfit]


def _further(rows: list[ResultRow], line: OutcomeLine | None) -> Section:
    standing = line.standing if line else RequirementStatus.MISSING
    return Section(
        key="further",
        title="Beyond what is asked",
        because="What is entered has to pass as well.",
        citation=None,
        way_name="",
        ways=[],
        specimens=[],
        rows=rows,
        verdict=VERDICTS[standing],
        state_words=standing.words if line else "Not judged",
        sentence=line.sentence if line else "",
    )


def _set_aside(rows: list[ResultRow]) -> Section:
    return Section(
        key="set-aside",
        title="Not used under this edition",
        citation=None,
        way_name="",
        ways=[],
        specimens=[],
        rows=rows,
        because=(
            "Made for an edition the record was under before. They stay on the record and are not judged"
            " here."
        ),
        verdict=VERDICTS[ResultMark.NOT_COUNTED],
        state_words="Not used",
        sentence="",
    )


def asked_fields(record: CouponRecord) -> dict[ResultKind, frozenset[str]]:
    """Fields most coupons do not need that the record's code checks, by kind of result."""
    try:
        rows = checks_of(edition_of(record.edition))
    except TableError:
        return {}
    mine = [row for row in rows if row.side in (None, SIDES[type(record)].value)]
    return {kind: frozenset(row.check for row in mine if kind in row.kinds) for kind in ResultKind}


def _key_of(requirement: Requirement) -> str:
    return way_name(requirement).replace(".", "-")


def _is_of(entry: Entry, requirement: Requirement) -> bool:
    position = entry.get("position", "").strip()
    return _kind(entry) in requirement.kinds and (
        not requirement.position or position == requirement.position
    )


def _kind(entry: Mapping[str, str]) -> ResultKind:
    return ResultKind(entry["kind"])


def _is_kind(text: str) -> bool:
    return text in set(ResultKind)


def _typed_rows(data: MultiValueDict[str, str]) -> list[Entry]:
    """The rows as sent; a row whose kind nobody knows is no row of this form."""
    rows = []
    for index in range(min(number_in(data.get(COUNT, "0")) or 0, MOST_ROWS)):
        kind = data.get(f"{row_prefix(index)}-kind", "")
        if _is_kind(kind):
            keys = (definition.key for definition in FIELDS[ResultKind(kind)])
            texts = {key: data.get(f"{row_prefix(index)}-{key}", "").strip() for key in keys}
            rows.append({"kind": kind, **{key: text for key, text in texts.items() if text}})
    return rows


def _typed_wanted(data: MultiValueDict[str, str]) -> dict[str, str]:
    """What the record settles of its tests, and the ways it means to take."""
    wanted = {key: data.get(f"wanted-{key}", "").strip() for key in LABELS}
    wanted |= {name: text for name, text in data.items() if name.startswith(PREFIX)}
    return {key: text for key, text in wanted.items() if text}


def _rearranged(entries: list[Entry], data: MultiValueDict[str, str]) -> list[Entry]:
    """The rows after a press of one of the buttons; an unknown button changes nothing."""
    verb, _, what = data.get(BUTTON, "").partition(":")
    if verb == "add" and _is_kind(data.get(ADD_KIND, "")) and len(entries) < MOST_ROWS:
        kind = ResultKind(data[ADD_KIND])
        return [*entries, {"kind": kind.value, "specimen": _next_name(kind, entries)}]
    at = number_in(what)
    if verb == "remove" and at is not None and at < len(entries):
        return [*entries[:at], *entries[at + 1 :]]
    return entries


def _kept(entries: Sequence[Entry]) -> list[Entry]:
    """The rows worth storing: a blank one under the name we gave it is drawn anew each time."""
    return [entry for entry in entries if not (is_blank(entry) and _has_our_name(entry))]


def _has_our_name(entry: Entry) -> bool:
    name = entry.get("specimen", "")
    return not name or name.removeprefix(_kind(entry).stem).isdecimal()


def _next_name(kind: ResultKind, entries: Sequence[Entry]) -> str:
    taken = {entry.get("specimen", "").casefold() for entry in entries if entry.get("kind") == kind.value}
    number = 1
    while f"{kind.stem}{number}".casefold() in taken:
        number += 1
    return f"{kind.stem}{number}"


def _filled_up(entries: Sequence[Entry], required: Requirements, wanted: Mapping[str, str]) -> list[Entry]:
    """The rows that say something, and blank ones up to the number the meant alternatives ask."""
    other = _kinds_not_meant(required, wanted)
    rows = [
        dict(entry)
        for entry in entries
        if not (is_blank(entry) and _has_our_name(entry) and _kind(entry) in other)
    ]
    for requirement in required.requirements:
        for specimen in way_meant(requirement, wanted).specimens:
            have = sum(
                1
                for row in rows
                if row["kind"] == specimen.kind.value
                and (not requirement.position or row.get("position", "") == requirement.position)
            )
            for _ in range(specimen.number - have):
                row = {"kind": specimen.kind.value, "specimen": _next_name(specimen.kind, rows)}
                rows.append({**row, "position": requirement.position} if requirement.position else row)
    return rows


def _kinds_not_meant(required: Requirements, wanted: Mapping[str, str]) -> frozenset[ResultKind]:
    """Kinds of which blank rows may go, since another alternative is meant now."""
    meant = {
        s.kind for requirement in required.requirements for s in way_meant(requirement, wanted).specimens
    }
    return frozenset(
        kind for requirement in required.requirements for kind in requirement.kinds if kind not in meant
    )

"""All entry forms of one record together: its joint and its process lines, read and said back.

Works alike for procedures, procedure tests, welder tests and parts. A page builds it from what is stored or
from what was posted, shows `entries/_record.html`, and stores `joint_entries` and `line_entries`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.forms import BoundField
from django.utils.datastructures import MultiValueDict

from qualification.evidence.coverage import edition_of, problems_with
from qualification.forms.coupon import OF_ONE_COUPON
from qualification.forms.entries import EntriesForm, as_posted
from qualification.forms.readings import readings_of
from qualification.forms.suggestions import Suggestions, suggestions
from qualification.forms.usual_entries import filled, of_level, said_usual, usual_entries
from qualification.posted import number_in
from qualification.rules.core.problems import Problem
from qualification.rules.core.values import MISSING, Stated
from qualification.rules.entries.reading import Entry, ReadWeld, plain, read_weld
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.definition import PROCESSES, Level, RecordKind, Variable
from qualification.rules.variables.registry import registry, variables_for

JOINT = "joint"
COUNT = "line_count"
BUTTON = "lines"
"""Name of the buttons that add, remove or move a process line: `add:GMAW`, `copy:0`,
`remove:1`, `up:1`, `down:0`."""
SIDE_B = "side:b"
"""The button that copies what is entered of side A to side B."""
USUAL = "usual"
"""Verb of the button that fills a line's blank fields with what the shop usually states: `usual:0`."""
SHOWN = "shown"
"""Name of the hidden inputs by which a page says which dependent fields it shows."""


def line_prefix(index: int) -> str:
    return f"line-{index}"


@dataclass(frozen=True)
class LineForm:
    """One process line of the page."""

    index: int
    process: str
    title: str
    form: EntriesForm
    is_last: bool
    usual: Sequence[tuple[str, str]] = ()
    """Label and words of what the shop usually states here and the line does not state."""

    @property
    def number(self) -> int:
        return self.index + 1


class RecordForms:
    """The entry forms of one record.

    `joint` and `lines` are the stored entries; with `data` (a POST) what was typed is read instead.
    `problems` never keep a draft from being saved; they stand at their fields and block its approval.
    """

    def __init__(
        self,
        use: RecordKind,
        system: str,
        edition: str | Edition,
        joint: Mapping[str, Entry],
        lines: Sequence[Mapping[str, Entry]],
        data: MultiValueDict[str, str] | None = None,
        only: frozenset[str] | None = None,
    ) -> None:
        """`only` limits the fields to these variables, and offers nothing usual beside them."""
        self.use, self.system, self.only = use, system, only
        self.edition = edition_of(edition) if isinstance(edition, str) else edition
        self.arranged = False
        """True when the POST asked for lines to be added, removed or moved, and not for saving."""
        self.shown = frozenset(data.getlist(SHOWN)) if data is not None else frozenset()
        if data is not None:
            joint, lines = self._as_typed(data)
            self.arranged = data.get(BUTTON, "") != ""
            joint, lines = self._with_usual(
                joint, _rearranged(lines, data.get(BUTTON, "")), data.get(BUTTON, "")
            )
            if data.get(BUTTON) == SIDE_B:
                joint = _like_side_a(joint)
        self._build(joint, lines)

    def _with_usual(
        self, joint: Mapping[str, Entry], lines: list[dict[str, Entry]], button: str
    ) -> tuple[Mapping[str, Entry], list[dict[str, Entry]]]:
        """Joint and lines after a press of “Fill what is blank” on one of the lines."""
        verb, _, what = button.partition(":")
        at = number_in(what)
        if verb != USUAL or at is None or at >= len(lines):
            return joint, lines
        usual = usual_entries(plain(lines[at].get("process", "")), self.use, self.system)
        line = filled(lines[at], of_level(usual, Level.LINE))
        return filled(joint, of_level(usual, Level.JOINT)), [*lines[:at], line, *lines[at + 1 :]]

    def _as_typed(self, data: MultiValueDict[str, str]) -> tuple[dict[str, Entry], list[dict[str, Entry]]]:
        return self._typed(Level.JOINT, data, JOINT), [
            self._typed(Level.LINE, data, line_prefix(index)) for index in range(_count(data))
        ]

    def _typed(self, level: Level, data: MultiValueDict[str, str], prefix: str) -> dict[str, Entry]:
        sent = {name.removeprefix(f"{prefix}-") for name in data if name.startswith(f"{prefix}-")}
        variables = self._variables(level, data.get(f"{prefix}-process", ""), sent)
        return EntriesForm(variables, self.use, self.system, data, prefix, self._is_iso).entries()

    def _variables(self, level: Level, process: Entry, held: Collection[str]) -> list[Variable]:
        """The variables of the level and process, and those that hold an entry although the process does not
        ask for them: what is stored is never out of sight."""
        named = process if process in PROCESSES else None
        listed = variables_for(self.use, level, named, self.edition.speaks)
        if self.only is not None:
            return [v for v in listed if v.key in self.only or v.key == "process"]
        known = (v for v in registry().values() if v.level is level and not v.derived)
        return [*listed, *(v for v in known if v.key in held and v not in listed)]

    def _build(self, joint: Mapping[str, Entry], lines: Sequence[Mapping[str, Entry]]) -> None:
        self.joint_form = self._form(Level.JOINT, joint, JOINT)
        self.lines: list[LineForm] = []
        for index, entries in enumerate(lines):
            form = self._form(Level.LINE, entries, line_prefix(index))
            process = "".join(form.texts("process")[:1])
            title = registry()["process"].choice_label(process) if process else "Process not stated"
            usual = {} if self.only is not None else usual_entries(process, self.use, self.system)
            stated = {**joint, **entries}
            blank = {key: text for key, text in usual.items() if not plain(stated.get(key, "")).strip()}
            last = index == len(lines) - 1
            self.lines.append(LineForm(index, process, title, form, last, said_usual(blank)))
        self._say()

    def _form(self, level: Level, entries: Mapping[str, Entry], prefix: str) -> EntriesForm:
        variables = self._variables(level, entries.get("process", ""), entries)
        sent = as_posted(entries, variables, self.use, prefix)
        return EntriesForm(variables, self.use, self.system, MultiValueDict(sent), prefix, self._is_iso)

    @property
    def _is_iso(self) -> bool:
        """True where the record's code is an ISO standard, whose own names then stand first."""
        return self.edition.family == "iso"

    @cached_property
    def joint_entries(self) -> dict[str, Entry]:
        """Entries of the joint, to be stored as they are."""
        return self.joint_form.entries()

    @cached_property
    def line_entries(self) -> list[dict[str, Entry]]:
        """Entries of each process line, to be stored as they are."""
        return [line.form.entries() for line in self.lines]

    @cached_property
    def read(self) -> ReadWeld:
        """The entries as facts."""
        return read_weld(
            self.joint_entries, self.line_entries, self.use, self.system, speaks=self.edition.speaks
        )

    @cached_property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the entries: unreadable, contradicting one another or the catalogue."""
        return problems_with(self.read, self.system, self.edition)

    @property
    def is_valid(self) -> bool:
        return not self.problems

    @property
    def all_forms(self) -> list[tuple[int | None, EntriesForm]]:
        """Every form with the line it belongs to, the joint's first."""
        return [(None, self.joint_form), *((line.index, line.form) for line in self.lines)]

    def _say(self) -> None:
        """Put beside each field what is wrong with it, or how it was read, and hide what does not matter."""
        readings = readings_of(self.read, self.system, self.edition)
        for index, form in self.all_forms:
            form.full_clean()
            facts = self.read.weld.joint if index is None else self.read.weld.lines[index]
            for problem in self.problems:
                if problem.line == index:
                    form.add_error(problem.key if problem.key in form.fields else None, problem.message)
            for key, field in form.fields.items():
                words = readings.get((index, key), "")
                field.is_reading = bool(words)
                field.note = words or field.variable.help
                field.hides = self._is_meaningless(form, field.variable, facts)

    @staticmethod
    def _is_meaningless(form: EntriesForm, variable: Variable, facts: Mapping[str, Stated]) -> bool:
        if variable.shown_when is None or form.texts(variable.key):
            return False
        key, choices = variable.shown_when
        if key not in form.fields:
            return False
        if form.fields[key].hides:
            return True
        stated = facts[key]
        return stated is not MISSING and not (isinstance(stated, frozenset) and stated & choices)

    def want(self, needed: Collection[tuple[int | None, str]]) -> None:
        """Open the folded fields a verdict waits for."""
        for index, form in self.all_forms:
            for key, field in form.fields.items():
                field.wanted = (index, key) in needed or (
                    index is None and any(want == key for _, want in needed)
                )

    @property
    def swapped(self) -> list[BoundField]:
        """Dependent fields whose showing has changed since the page was drawn."""
        return [
            form[key]
            for _, form in self.all_forms
            for key, field in form.fields.items()
            if field.depends and field.hides == (form[key].auto_id in self.shown)
        ]

    @property
    def problem_links(self) -> list[tuple[str, str]]:
        """Id of the field and message of each problem, for the summary on top."""
        found = []
        for _, form in self.all_forms:
            found += [("", str(error)) for error in form.non_field_errors()]
            for bound in form:
                first = "_0" if bound.field.is_ticked else ""
                found += [(f"{bound.auto_id}{first}", str(error)) for error in bound.errors]
        return found

    @property
    def suggestions(self) -> list[Suggestions]:
        """What is offered while one types, each list served once per page."""
        return suggestions(iso_first=self._is_iso)

    @property
    def processes(self) -> list[tuple[str, str]]:
        """Processes a line can be added of: those the edition has rules for."""
        return [(p, registry()["process"].choice_label(p)) for p in self.edition.processes]


def _count(data: MultiValueDict[str, str]) -> int:
    return min(number_in(data.get(COUNT, "0")) or 0, 20)


OF_ONE_LINE = frozenset({"deposit_thickness", "layers", "max_pass_thickness", "filler_lot"})
"""What a line like another one does not take over: the metal it laid itself, and the lot it was laid from."""


def _like_side_a(joint: Mapping[str, Entry]) -> dict[str, Entry]:
    """The joint with every entry of side A on side B as well, but for the heat that was stamped on one piece;
    what only side B states stays."""
    named = {
        key: entry
        for key, entry in joint.items()
        if key.endswith("_a") and f"{key[:-2]}_b" in registry() and key not in OF_ONE_COUPON
    }
    return {**joint, **{f"{key[:-2]}_b": entry for key, entry in named.items()}}


def _rearranged(lines: list[dict[str, Entry]], button: str) -> list[dict[str, Entry]]:
    """The lines after a press of one of the buttons; an unknown button changes nothing."""
    verb, _, what = button.partition(":")
    if verb == "add" and what in PROCESSES:
        return [*lines, {"process": what}]
    at = number_in(what)
    if at is None or at >= len(lines):
        return lines
    if verb == "copy":
        alike = {key: entry for key, entry in lines[at].items() if key not in OF_ONE_LINE}
        return [*lines[: at + 1], alike, *lines[at + 1 :]]
    others = [*lines[:at], *lines[at + 1 :]]
    if verb == "remove":
        return others
    if verb in ("up", "down"):
        to = max(0, at - 1) if verb == "up" else at + 1
        return [*others[:to], lines[at], *others[to:]]
    return lines

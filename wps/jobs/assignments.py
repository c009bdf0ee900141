"""Who makes a weld, and by which procedure: refused outside coverage unless a reason is given, and judged
again whenever it is asked about."""

from __future__ import annotations

import json
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db import transaction
from django.db.models import Q

from qualification.models import Welder
from qualification.records.audit import Event, append_all, name_of
from qualification.records.value_changes import changes_between, values_of
from qualification.roles import Person
from qualification.rules.core.findings import Verdict
from qualification.rules.entries import answer_words
from qualification.welders.who_may_weld import Roster, WelderAnswer, WelderFile, answers, roster
from wps.jobs.board import Board
from wps.jobs.part_desk import PartDesk
from wps.jobs.part_view import KIND, PartView
from wps.models import Job, Part
from wps.procedures.procedure_match import ApprovedProcedures

SPEC, WELDER = "spec", "welder"
WHAT = {SPEC: "WPS", WELDER: "welder"}


class AssignmentRefused(Exception):
    """The weld lies outside what is assigned; the message says why and what to do."""


@dataclass(frozen=True)
class Against:
    """What speaks against one assignment."""

    what: str
    """`spec` or `welder`."""
    assigned: str
    """Number of the WPS, stamp of the welder."""
    sentence: str
    verdict: str


class Judge:
    """What speaks against the procedures and welders assigned in a job, as everything stands on a day."""

    def __init__(self, job: Job, day: date) -> None:
        self.job, self.day = job, day
        self._said: dict[Hashable, Against | None] = {}
        self._asked: dict[int, WelderFile | None] = {}

    @cached_property
    def board(self) -> Board:
        return Board.of(self.job, self.day)

    @property
    def shelf(self) -> ApprovedProcedures:
        return self.board.shelf

    def _roster(self, welder: int) -> Roster:
        """The files of those whom welds of the job are assigned to, and of this welder; not of everybody."""
        if welder not in self._asked:
            assigned = Part.objects.filter(job=self.job, welder__isnull=False).values("welder")
            wanted = Welder.objects.filter(Q(pk=welder) | Q(pk__in=assigned), active=True)
            files = roster(wanted, self.day, self.shelf.for_welders).files
            self._asked |= {welder: None, **{file.welder.pk: file for file in files}}
        file = self._asked[welder]
        return Roster(self.shelf.for_welders, () if file is None else (file,))

    def against(self, part: Part) -> list[Against]:
        """What speaks against either, the procedure first."""
        return [each for each in (self.against_spec(part), self.against_welder(part)) if each is not None]

    def against_spec(self, part: Part) -> Against | None:
        if not part.spec_number:
            return None
        key = (SPEC, _facts(part), part.spec_number)
        if key not in self._said:
            self._said[key] = self._of_spec(part)
        return self._said[key]

    def _of_spec(self, part: Part) -> Against | None:
        number = part.spec_number
        fit = PartView.of(part, self.shelf).chosen
        if fit is None:
            said = f"{number} has no approved revision under {self.shelf.edition.name}."
            return Against(SPEC, number, said, Verdict.NOT_COVERED.key)
        if fit.verdict <= Verdict.COVERED:
            return None
        return Against(SPEC, number, fit.sentence, fit.verdict.key)

    def against_welder(self, part: Part) -> Against | None:
        if part.welder_id is None:
            return None
        key = (WELDER, _facts(part), part.spec_number, part.welder_id)
        if key not in self._said:
            self._said[key] = self._of_welder(part, part.welder_id)
        return self._said[key]

    def _of_welder(self, part: Part, welder_id: int) -> Against | None:
        answer = self.answer(part, welder_id)
        if answer is None:
            name = Welder.objects.get(pk=welder_id).stamp
            return Against(WELDER, name, f"{name} is no longer an active welder.", Verdict.NOT_COVERED.key)
        if answer.may:
            return None
        said = f"{answer.welder.stamp} may not weld it: {why_not(answer)}"
        return Against(WELDER, answer.welder.stamp, said, answer.verdict.key)

    def answer(self, part: Part, welder: int | None) -> WelderAnswer | None:
        """Whether that welder may make the weld; `None` for one who is not active."""
        asked = self._roster(welder) if welder is not None else None
        if not asked:
            return None
        view = PartView.of(part, self.shelf)
        return answers(view.weld, asked, view.house, self.shelf.edition)[0]


def _facts(part: Part) -> str:
    return json.dumps([part.joint, part.lines, part.units])


def why_not(answer: WelderAnswer) -> str:
    """The first reason for each process line."""
    found = []
    for line in answer.lines:
        if line.verdict <= Verdict.COVERED:
            continue
        if line.limits:
            said = "; ".join(dict.fromkeys(answer_words.say_obstacle(each) for each in line.limits))
            found.append(f"outside an additional limit ({said}).")
        elif line.continuity and not line.obstacles:
            found.append(line.continuity[0].sentence)
        elif line.obstacles:
            said = "; ".join(dict.fromkeys(answer_words.say_obstacle(each) for each in line.obstacles))
            found.append(f"not covered by {', '.join(line.by)}: {said}.")
        elif line.elsewhere:
            found.append(line.elsewhere[0])
        else:
            found.append(f"no approved and passed test with {line.process or 'its process'} is on file.")
    return " ".join(found) or "the weld states no process yet."


def settle(
    part: Part, judge: Judge, reason: str, who: str, *, only: tuple[str, ...] = (SPEC, WELDER)
) -> None:
    """Hold what is assigned to the weld against coverage, and note the reason where it is kept outside it.
    Nothing is stored. Raises AssignmentRefused without a reason."""
    kept = {key: said for key, said in part.despite.items() if key not in only}
    for each in judge.against(part):
        if each.what not in only:
            continue
        if not reason.strip():
            raise AssignmentRefused(
                f"{each.sentence} Choose another {WHAT[each.what]}, or give a reason for the exception."
            )
        kept[each.what] = {
            "assigned": each.assigned,
            "reason": " ".join(reason.split())[:200],
            "by": who,
            "on": judge.day.isoformat(),
            "against": each.sentence,
        }
    part.despite = kept


def assign(
    parts: list[Part],
    person: Person,
    judge: Judge,
    *,
    spec_number: str | None = None,
    welder: Welder | None | str = "",
    reason: str = "",
) -> None:
    """Give welds a procedure, a welder or both, all or none. `None` takes the welder away, an empty number
    the procedure. Raises AssignmentRefused, which names the welds it is about."""
    only = (*((SPEC,) if spec_number is not None else ()), *((WELDER,) if welder != "" else ()))
    with transaction.atomic():
        events = []
        refused: dict[str, list[str]] = {}
        for part in parts:
            before = values_of(part)
            if spec_number is not None:
                part.spec_number = spec_number
            if not isinstance(welder, str):
                part.welder = welder
            try:
                settle(part, judge, reason, name_of(person), only=only)
            except AssignmentRefused as why:
                refused.setdefault(str(why), []).append(part.mark)
                continue
            if changes := changes_between(before, values_of(part)):
                part.save(update_fields=["spec_number", "welder", "despite"])
                told = {"detail": _told(part, before, only), "changes": changes}
                events.append(Event("change", KIND, part.pk, str(part), told))
        if refused:
            raise AssignmentRefused(
                " ".join(
                    why if len(parts) == 1 else f"{', '.join(marks)}: {why}" for why, marks in refused.items()
                )
            )
        append_all(events, name_of(person))


def _told(part: Part, before: Mapping[str, Any], only: tuple[str, ...]) -> str:
    said = []
    if SPEC in only:
        said.append(f"chosen WPS: {before['spec_number'] or 'none'} to {part.spec_number or 'none'}")
    if WELDER in only:
        was = Welder.objects.filter(pk=before["welder_id"]).first() if before["welder_id"] else None
        now = part.welder
        said.append(f"welder: {was.stamp if was else 'none'} to {now.stamp if now else 'none'}")
    said += [
        f"outside coverage, kept because: {each['reason']}"
        for what, each in part.despite.items()
        if what in only
    ]
    return "; ".join(said)


def settle_choice(desk: PartDesk, judge: Judge, who: str) -> None:
    """Hold a procedure that is chosen in the editor of a weld against the weld as it stands there. Where it
    is outside, the reason given is kept, or the form says that one is needed."""
    if not desk.head_is_readable:
        return
    stored = Part.objects.filter(pk=desk.record.pk).values_list("spec_number", flat=True).first() or ""
    if desk.spec_number == stored:
        return
    typed = Part(
        job=desk.record.job,
        units=desk.units,
        joint=desk.forms.joint_entries,
        lines=desk.forms.line_entries,
        spec_number=desk.spec_number,
        despite=desk.record.despite,
    )
    try:
        settle(typed, judge, desk.head.cleaned_data["reason"], who, only=(SPEC,))
    except AssignmentRefused as refused:
        desk.head.add_error("spec_number", f"Chosen WPS: {refused}")
        desk.head_is_readable = False
    desk.record.despite = typed.despite


def broken(judge: Judge, parts: list[Part]) -> list[tuple[Part, Against]]:
    """Assignments that are outside coverage now, but for those kept with a reason for just that."""
    found = []
    for part in parts:
        for each in judge.against(part):
            kept = part.despite.get(each.what, {})
            if kept.get("assigned") != each.assigned or kept.get("against") != each.sentence:
                found.append((part, each))
    return found

"""Where the tables have no rule, the responsible person decides by the code: asked, listed and withdrawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from qualification.codes.decisions import decide, withdraw_decision
from qualification.codes.editions import available_editions
from qualification.evidence.coverage import Judgement
from qualification.forms.code_decision import HERE, CodeDecisionForm
from qualification.forms.welder import ReasonForm
from qualification.models import CodeDecision, State
from qualification.roles import approver_required, may_approve, reader_required
from qualification.rules.core.facts import Facts, Side
from qualification.rules.core.findings import Finding
from qualification.rules.entries import answer_words
from qualification.rules.entries.derive import derive
from qualification.rules.materials.grouping import group
from qualification.rules.tabular.decisions import question_of
from qualification.rules.tabular.edition import Edition
from qualification.welders.who_may_weld import answer_of
from wps.jobs.board import Board
from wps.models import Part, Spec
from wps.procedures.approval import judgement_of


@dataclass(frozen=True)
class OpenQuestion:
    """A finding without a rule, as the procedure's page lists it."""

    line: int
    variable: str
    row: answer_words.Row


def open_questions(judged: Judgement, units: str) -> list[OpenQuestion]:
    """What of a procedure only the code itself can answer, once for each variable of a process."""
    found = {
        (finding.line or 0, finding.variable): answer_words.row_of_finding(finding, units)
        for finding in judged.report.obstacles
        if finding.is_open_to_the_code
    }
    return [OpenQuestion(line, variable, row) for (line, variable), row in found.items()]


@approver_required
def procedure_decide(request: HttpRequest, pk: int, line: int, variable: str) -> HttpResponse:
    """Answer one open finding of a procedure that is being written or reviewed."""
    spec = get_object_or_404(Spec, pk=pk, state__in=[State.DRAFT, State.IN_REVIEW])
    judged = judgement_of(spec)
    facts = derive(group(judged.weld, judged.edition))
    asked = Asked(
        spec,
        spec.units,
        judged.edition,
        Side.PROCEDURE,
        facts.line_facts(line) if line < len(facts.lines) else None,
        line,
        open_of(judged.report.obstacles, line, variable),
        spec.number,
    )
    return _answer(request, asked)


@approver_required
def part_decide(
    request: HttpRequest, job: int, pk: int, welder: int, line: int, variable: str
) -> HttpResponse:
    """Answer one open finding of a welder's closest test for a weld. Tests of welders speak for every job, so
    the answer holds for every record."""
    part = get_object_or_404(Part.objects.select_related("job"), pk=pk, job_id=job)
    board = Board.of(part.job, timezone.localdate())
    file = next((each for each in board.asked.files if each.welder.pk == welder), None)
    if file is None:
        raise Http404
    edition = board.asked.edition
    whole = derive(group(board.page(part).view.weld, edition))
    answer = answer_of(whole, file, edition, [()] * len(whole.lines))
    obstacles = [finding for each in answer.lines if each.line == line for finding in each.obstacles]
    asked = Asked(
        part,
        part.units,
        edition,
        Side.WELDER,
        whole.line_facts(line) if line < len(whole.lines) else None,
        line,
        open_of(obstacles, line, variable),
    )
    return _answer(request, asked)


@dataclass(frozen=True)
class Asked:
    """Findings on one variable that only the code answers, and the record they were found on."""

    about: Spec | Part
    units: str
    edition: Edition
    side: Side
    facts: Facts | None
    line: int
    findings: list[Finding]
    procedure: str = ""
    """The procedure an answer may be kept to; none where it is a welder's tests that are asked about."""


def open_of(obstacles: Iterable[Finding], line: int, variable: str) -> list[Finding]:
    """Those without a rule on one variable of one process line."""
    return [
        finding
        for finding in obstacles
        if finding.is_open_to_the_code and (finding.line or 0) == line and finding.variable == variable
    ]


def _answer(request: HttpRequest, asked: Asked) -> HttpResponse:
    """Ask for the answer, and record it for each of the findings."""
    if asked.facts is None or not asked.findings:
        messages.info(request, "That question is answered, or its entries have changed since.")
        return redirect(asked.about)
    name = asked.edition.name
    form = CodeDecisionForm(asked.procedure, name, request.POST if request.method == "POST" else None)
    rows = [answer_words.row_of_finding(finding, asked.units) for finding in asked.findings]
    if request.method == "POST" and form.is_valid():
        here = asked.procedure if form.cleaned_data["scope"] == HERE else ""
        for finding, row in zip(asked.findings, rows, strict=True):
            decide(
                asked.edition.id,
                here,
                question_of(finding, asked.facts, asked.side),
                (row.label, row.found, row.qualified),
                form.decided,
                request.user,
                timezone.localdate(),
            )
        messages.success(request, "Your answer is recorded. It is printed as yours, with its clause.")
        return redirect(asked.about)
    context = {"about": asked.about, "form": form, "rows": rows, "line": asked.line + 1, "code": name}
    return render(request, "wps/code_decision.html", context, status=422 if form.errors else 200)


@reader_required
def code_decisions(request: HttpRequest) -> HttpResponse:
    """Every answer the responsible persons gave, those in force first."""
    made = list(CodeDecision.objects.order_by("-id"))
    context = {
        "in_force": [(each, _name(each.edition)) for each in made if not each.withdrawn_because],
        "withdrawn": [(each, _name(each.edition)) for each in made if each.withdrawn_because],
        "may_withdraw": may_approve(request.user),
    }
    return render(request, "wps/code_decisions.html", context)


@approver_required
def code_decision_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw an answer with a reason; what was approved on it keeps its printed findings."""
    made = get_object_or_404(CodeDecision, pk=pk)
    if made.withdrawn_because:
        raise Http404
    form = ReasonForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        withdraw_decision(made, form.cleaned_data["reason"], request.user)
        messages.success(request, "The answer is withdrawn. The question is open again.")
        return redirect("code_decisions")
    return render(
        request,
        "wps/code_decision_withdraw.html",
        {"form": form, "made": made, "code": _name(made.edition)},
        status=422 if form.errors else 200,
    )


def _name(edition: str) -> str:
    return dict(available_editions()).get(edition, edition)

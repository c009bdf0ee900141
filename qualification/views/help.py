"""The help: its list and search, a page per subject, and the glossary."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from qualification.codes.editions import available_editions
from qualification.help.subjects import find, subjects, terms
from qualification.help.trade_terms import trade_terms
from qualification.posted import sought_in
from qualification.roles import reader_required
from qualification.rules.core.findings import Provenance
from qualification.rules.editions.loader import edition, editions
from qualification.rules.editions.worked_examples import FOLDER, Example, Step, answered, worked_examples
from qualification.rules.tabular.edition import Edition
from qualification.rules.variables.registry import registry


@reader_required
def help_list(request: HttpRequest) -> HttpResponse:
    """Every subject, or what holds the words sought."""
    sought = sought_in(request)
    pages, found = find(sought) if sought else (subjects(), ())
    context = {"subjects": pages, "terms": found, "sought": sought, "editions": with_examples()}
    return render(request, "qualification/help.html", context)


@reader_required
def help_subject(request: HttpRequest, key: str) -> HttpResponse:
    """One subject, with the help of each of its fields."""
    found = next((each for each in subjects() if each.key == key), None)
    if found is None:
        raise Http404
    own = [term for term in terms() if term.subject == key]
    return render(request, "qualification/help_subject.html", {"subject": found, "terms": own})


def with_examples() -> list[tuple[str, str]]:
    """Key and name of the editions that have worked examples."""
    return [(key, name) for key, name in available_editions() if (FOLDER / f"{key}.toml").is_file()]


@reader_required
def examples(request: HttpRequest, key: str) -> HttpResponse:
    """The worked examples of one edition, as its tables answer them without the shop's checks."""
    if key not in editions():
        raise Http404
    made = edition(key)
    shown = [(each, _entered(each), _steps(each, made)) for each in worked_examples(made)]
    return render(request, "qualification/examples.html", {"edition": made, "examples": shown})


def _entered(example: Example) -> list[tuple[str, str]]:
    """What the coupon states, by label and as typed."""
    return [(registry()[k].label, _typed(k, v)) for k, v in {**example.joint, **example.line}.items()]


def _steps(example: Example, made: Edition) -> list[tuple[Step, str, list[tuple[str, str]], str]]:
    """Each step with its label, the weld by label and as typed, and how far its rows are confirmed."""
    return [
        (
            step,
            registry()[step.variable].label,
            [(registry()[k].label, _typed(k, v)) for k, v in step.weld.items()],
            (Provenance.PUBLISHED if answered(example, step, made).is_published else Provenance.MEMORY).words,
        )
        for step in example.steps
    ]


def _typed(key: str, value: str) -> str:
    """The label of a choice, anything else as typed."""
    return registry()[key].choice_label(value)


@reader_required
def glossary(request: HttpRequest) -> HttpResponse:
    """The terms of the trade, by name."""
    return render(request, "qualification/glossary.html", {"terms": terms()})


@reader_required
def trade_terms_page(request: HttpRequest) -> HttpResponse:
    """The terms of the trade in three languages, with their sources."""
    return render(request, "qualification/trade_terms.html", {"terms": trade_terms()})

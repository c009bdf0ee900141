"""The catalogues are whole, say the same places as the English, and keep the typography of their language.

French typography: a narrow space that does not break before ; : ! ? and within « », as the Lexique des règles
typographiques of the Imprimerie nationale has it (common practice; Québec may leave it out before ; ! ?).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from qualification.models import State, UnitSystem
from qualification.rules.core.findings import Verdict
from qualification.rules.testing.acceptance.check import ResultMark
from qualification.rules.testing.outcome_parts import Overall
from qualification.rules.testing.result_fields import FIELDS
from qualification.rules.variables.definition import RecordKind, Variable
from qualification.rules.variables.registry import registry
from qualification.tongues.neutral import is_neutral
from qualification.tongues.told import catalogue as told_by
from tests.tongues.catalogues import DOMAINS, LANGUAGES, ROOT, asked_for, catalogue, compiled, po_file
from tests.tongues.table_sentences import table_sentences
from tests.tongues.texts import literal_words
from wps.documents import cautions, iso_terms

PLACE = re.compile(r"%\(\w+\)s|\{\w+\}")
BROKEN_BEFORE = re.compile(r"(?<=[\w)}»]) [;:!?]|(?<=\w)[;!?](?=\s|$)|(?<=[a-zé]):(?=\s)|^[;:!?]")
EACH = [(language, domain) for language in LANGUAGES for domain in DOMAINS]
UNTRANSLATED = 0
"""Words and messages of templates that may stand in English while a change is on its way into the
catalogues. It may only fall; at a release it is 0."""
SPEAKS_ENGLISH = frozenset(("gallery",))
"""Folders of templates that only developers see."""


def complete() -> list[Path]:
    """Every template that a reader sees: none says anything outside a message."""
    found = sorted((ROOT / "templates").rglob("*.html"))
    return [path for path in found if path.parent.name not in SPEAKS_ENGLISH]


def forms(words: object) -> Iterator[str]:
    yield from (words if isinstance(words, list | tuple) else (str(words),))


@pytest.mark.parametrize(("language", "domain"), EACH)
def test_what_is_compiled_is_what_is_written(language: str, domain: str) -> None:
    """Otherwise: `python -m tests.tongues`."""
    assert po_file(language, domain).with_suffix(".mo").read_bytes() == compiled(language, domain)


@pytest.mark.parametrize(("language", "domain"), EACH)
def test_every_message_is_translated_with_its_places(language: str, domain: str) -> None:
    for message in catalogue(language, domain):
        if message.id:
            assert not message.fuzzy
            wanted = set(PLACE.findall(next(forms(message.id))))
            for said in forms(message.string):
                assert said.strip(), message.id
                assert set(PLACE.findall(said)) == wanted, message.id


@pytest.mark.parametrize("domain", DOMAINS)
def test_both_languages_have_the_same_messages(domain: str) -> None:
    """Only a sentence of the tables may be told in one before it is in the other."""
    french, german = (
        {(each.context, each.id) for each in catalogue(language, domain)} for language in LANGUAGES
    )
    alone = {said for _, said in french ^ german}
    assert alone <= (table_sentences() if domain == "told" else set())


@pytest.mark.parametrize("domain", DOMAINS)
def test_french_keeps_its_marks_with_the_word_before(domain: str) -> None:
    wrong = [
        said
        for message in catalogue("fr", domain)
        for said in forms(message.string)
        if message.id and BROKEN_BEFORE.search(re.sub(r"<[^>]*>|&\w+;", "", said))
    ]
    assert wrong == []


def test_every_message_of_a_template_is_in_the_catalogue() -> None:
    known = {next(forms(each.id)) for each in catalogue("fr", "django")}
    missing = {(path.name, said) for path in complete() for said in asked_for(path) if said not in known}
    assert len(missing) <= UNTRANSLATED, missing


def test_complete_templates_say_nothing_outside_a_message() -> None:
    found = {path.name: words for path in complete() if (words := literal_words(path))}
    assert sum(map(len, found.values())) <= UNTRANSLATED, found


def on_papers() -> list[Variable]:
    """A trial's own variables stand on no paper that is issued."""
    return [each for each in registry().values() if each.uses != {RecordKind.TRIAL}]


def of_the_registry() -> Iterator[str]:
    for variable in on_papers():
        yield variable.group
        if not variable.key.endswith(("_pair", "_numbers")):
            yield from (choice.label for choice in variable.choices)
    for fields in FIELDS.values():
        for field in fields:
            yield from (choice.label for choice in field.choices)
    for kind in (State, UnitSystem):
        yield from (str(each.label) for each in kind)
    for kind in (Verdict, Overall, ResultMark):
        yield from (each.words for each in kind)
    yield cautions.WHO_DECIDES
    yield from (each.text for each in cautions._CAUTIONS)


@pytest.mark.parametrize("language", LANGUAGES)
def test_all_that_records_can_choose_is_told(language: str) -> None:
    words = told_by(language)
    labels = [each.label for each in on_papers()] + list(iso_terms.TERMS.values())
    labels += [field.label for fields in FIELDS.values() for field in fields]
    untold = [each for each in of_the_registry() if not words.tell(each, False)[1]]
    untold += [each for each in labels if not words.tell(each, False, "label")[1]]
    assert untold == []
    assert not is_neutral("Groove")

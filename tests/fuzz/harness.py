"""Sends hostile entries and holds each answer against what an answer has to be: no failure of the program,
and where it refuses, nothing stored. What an input stored is taken back before the next."""

from __future__ import annotations

import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from time import process_time
from typing import Any

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.db.models import Field, Model
from django.test import Client
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from qualification.models.record import Record, content_hash
from qualification.records.unchanged import NOT_HELD_AGAINST
from tests.fuzz.hostile import FILES, NUMBERS, TEXTS, TOO_LONG, WORDS
from tests.fuzz.targets import Address, Form, addresses, forms_behind
from wps.documents.kinds import KINDS

SLOW = 2.0
"""Seconds of processor time after which an answer is told of."""

TOLD_EVERY = 500
"""Inputs after which a long run says how far it is."""
PAPERS_ONE_IN = 25
"""A paper takes as long as many pages, so few of the inputs ask for one."""


KEEPS_WHAT_IS_RIGHT = "/machine/"
"""The page at the machine stores each entry that can be read, and names those that cannot."""


@dataclass
class Found:
    """What a run found."""

    inputs: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    faults: dict[str, str] = field(default_factory=dict)
    """By place in the program, the input that showed it and the end of its trace."""
    slow: dict[str, float] = field(default_factory=dict)


class Fuzzer:
    """The program as a shop administrator sees it, and all that can be sent to it."""

    def __init__(self, client: Client, tell: Callable[[str], None] = lambda said: None) -> None:
        self.tell = tell
        self.client, self.cookies = client, client.cookies.copy()
        self.every = addresses()
        self.pages = [each for each in self.every if not each.text.endswith(".pdf")]
        self.papers = [each for each in self.every if each.text.endswith(".pdf")]
        self.found = Found()
        self.stored, self.approved = _stored(), _approved()

    @cached_property
    def forms(self) -> list[Form]:
        """Those on the pages behind every address; nothing that looking at them stored stays."""
        with transaction.atomic():
            found = forms_behind(self.client, self.every)
            transaction.set_rollback(True)
        return found

    def run(self, inputs: int, number: int) -> Found:
        """Send so many inputs; `number` makes the run one that can be repeated."""
        assert self.forms, "no page has a form to fill in"

        @seed(number)
        @settings(
            max_examples=inputs,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(st.data())
        def send(data: st.DataObject) -> None:
            self._one(data)

        send()
        return self.found

    def too_long(self) -> None:
        """Send each form with each text of it in turn one character longer than the longest that any field
        takes: each has a limit, so none is stored."""
        for form in self.forms:
            for name in dict.fromkeys(form.texts) if form.method == "post" else ():
                self._sent("post", form.action, {**form.fields, name: TOO_LONG})

    def _one(self, data: st.DataObject) -> None:
        if data.draw(st.integers(0, 2)):
            self._sent(*self._filled(data, data.draw(st.sampled_from(self.forms))))
            return
        of_papers = data.draw(st.integers(1, PAPERS_ONE_IN)) == 1
        address = data.draw(st.sampled_from(self.papers if of_papers else self.pages))
        path = self._path(data, address)
        query = data.draw(st.dictionaries(st.sampled_from(_ASKED), TEXTS, max_size=3))
        method = data.draw(st.sampled_from(["get", "get", "post"]))
        self._sent(method, path, query)

    def _path(self, data: st.DataObject, address: Address) -> str:
        word = data.draw(st.sampled_from(["procedure-test", "spec", "welder-test", "procedure"]) | WORDS)
        return address.filled(data.draw(NUMBERS), word)

    def _filled(self, data: st.DataObject, form: Form) -> tuple[str, str, dict[str, Any]]:
        """The form as it stands with some fields changed."""
        sent: dict[str, Any] = {} if data.draw(st.integers(0, 19)) == 0 else dict(form.fields)
        if form.fields:
            for name in data.draw(st.lists(st.sampled_from(list(form.fields)), min_size=1, max_size=4)):
                sent[name] = data.draw(st.lists(TEXTS, min_size=1, max_size=2) if "-" in name else TEXTS)
        for name in form.files:
            filename, content = data.draw(FILES)
            sent[name] = SimpleUploadedFile("a", content)
            sent[name]._name = filename  # a client may send one that this class refuses, such as ".."
        return form.method, form.action, sent

    def _sent(self, method: str, path: str, sent: dict[str, Any]) -> None:
        self.client.cookies = self.cookies.copy()
        self.found.inputs += 1
        if self.found.inputs % TOLD_EVERY == 0:
            self.tell(f"{self.found.inputs} inputs, {len(self.found.faults)} faults")
        began = process_time()
        with transaction.atomic():
            try:
                answer = getattr(self.client, method)(path, sent)
                self.found.statuses[answer.status_code] += 1
                if answer.status_code >= 500:
                    self._fault(f"{method} {path}: {answer.status_code}", method, path, sent, "")
                refused = 400 <= answer.status_code < 500 and not transaction.get_connection().needs_rollback
                refused = refused and not path.endswith(KEEPS_WHAT_IS_RIGHT)
                if (
                    answer.status_code < 400
                    and _is_among(sent, TOO_LONG)
                    and (where := _where_stored(TOO_LONG))
                ):
                    self._fault(f"{path} stores what is too long", method, path, sent, ", ".join(where))
                if method == "post" and answer.status_code < 400 and self.approved - _approved():
                    self._fault(f"{path} changes what was approved", method, path, sent, "")
                if refused and (after := _stored()) != self.stored:
                    self._fault(f"{path} stores and refuses", method, path, sent, str(after - self.stored))
            except Exception as error:  # whatever escapes a page is a fault
                self.found.statuses[500] += 1
                last = traceback.extract_tb(error.__traceback__)[-1]
                place = f"{type(error).__name__} in {last.filename.rpartition('/')[2]}:{last.lineno}"
                self._fault(place, method, path, sent, "".join(traceback.format_exception(error)[-6:]))
            transaction.set_rollback(True)
        if (took := process_time() - began) > SLOW:
            self.found.slow[f"{method} {path[:120]}"] = took

    def _fault(self, place: str, method: str, path: str, sent: dict[str, Any], trace: str) -> None:
        if place in self.found.faults:
            return
        short = {name: value for name, value in sent.items() if value not in ("", [], [""])}
        self.found.faults[place] = f"{method} {path} {str(short)[:1500]}\n{trace}"
        self.tell(f"== {place}\n{self.found.faults[place]}\n")


_ASKED = [
    "q", "page", "job", "part", "day", "t", "x", "y", "from", "to", "like", "welder", "test",
    "edition", "state",
    "variable", "beside", "paper", "code", "all", "verdict", "clause", "table", "provenance", "month", "add",
]  # fmt: skip


def _is_among(sent: dict[str, Any], text: str) -> bool:
    return any(text in (value if isinstance(value, list) else [value]) for value in sent.values())


def _where_stored(text: str) -> list[str]:
    """The tables of the shop that hold the text, in whichever column."""
    quoted, found = connection.ops.quote_name, []
    with connection.cursor() as cursor:
        for model in _models():
            columns = [each.column for each in model._meta.local_concrete_fields if _holds_text(each)]
            if columns:
                holds = " OR ".join(f"CAST({quoted(each)} AS TEXT) LIKE %s" for each in columns)
                cursor.execute(
                    f"SELECT COUNT(*) FROM {quoted(model._meta.db_table)} WHERE {holds}",
                    [f"%{text}%"] * len(columns),
                )
                found += [model._meta.label] if cursor.fetchone()[0] else []
    return found


def _holds_text(of: Field[Any, Any]) -> bool:
    return of.get_internal_type() in ("CharField", "TextField", "JSONField")


def _models() -> list[type[Model]]:
    shop = ("qualification", "wps", "auth")
    return [each for each in apps.get_models() if each._meta.app_label in shop and not each._meta.proxy]


def _approved() -> set[tuple[object, ...]]:
    """What every record said when it was approved, and says of itself: a welder may take another name."""
    return {
        (record.KIND, record.pk, record.snapshot_hash, content_hash([_of_itself(record), record.snapshot]))
        for kind in KINDS.values()
        for record in kind._default_manager.exclude(snapshot=None)
    }


def _of_itself(record: Record) -> dict[str, Any]:
    return {name: value for name, value in record.content().items() if name not in NOT_HELD_AGAINST}


def _stored() -> Counter[str]:
    """How many rows each model of the shop has, asked in one question: it is asked after each refusal."""
    tables = [model._meta.db_table for model in _models()]
    counts = ", ".join(f"(SELECT COUNT(*) FROM {connection.ops.quote_name(each)})" for each in tables)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {counts}")
        return Counter(dict(zip(tables, cursor.fetchone(), strict=True)))

"""Where entries can be sent: the addresses of the URL table with numbers of records that exist, and the forms
on the pages behind them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.converters import IntConverter

Fields = dict[str, list[str]]
PER_ADDRESS = 2
"""Numbers of records tried for each address while forms are looked for."""

_TYPED = ("", "text", "search", "password", "number", "date", "email", "url", "tel")

_PLACE = re.compile(r"<(?:\w+:)?(\w+)>")
_WORDS = ("procedure-test", "spec", "welder-test", "section_ix_2025", "ranges.toml", "1", "")


@dataclass
class Form:
    """A form of a page: where it goes, what stands in it."""

    action: str
    method: str
    fields: Fields = field(default_factory=dict)
    files: list[str] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    """Names of the fields that take what somebody types."""


@dataclass(frozen=True)
class Address:
    """One line of the URL table: its name, its text with places for what varies, and which of them take
    numbers."""

    name: str
    text: str
    places: tuple[tuple[str, bool], ...]

    def filled(self, number: int, word: str) -> str:
        """The address with the same number and the same word at every place."""
        return self.filled_by({name: number if is_int else word for name, is_int in self.places})

    def filled_by(self, values: Mapping[str, int | str]) -> str:
        """The address with a value at each place."""
        return "/" + self.text % values


def addresses() -> list[Address]:
    """Every address of the program."""
    return [
        Address(name, text, tuple((key, isinstance(taken, IntConverter)) for key, taken in places.items()))
        for name, text, places in _lines(get_resolver())
    ]


def _lines(resolver: URLResolver) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            before = str(pattern.pattern)
            yield from ((name, before + text, places) for name, text, places in _lines(pattern))
        elif isinstance(pattern, URLPattern) and pattern.name != "sign_out":
            text = _PLACE.sub(r"%(\1)s", str(pattern.pattern).replace("%", "%%"))
            yield pattern.name or "", text, pattern.pattern.converters


def forms_behind(client: Client, every: list[Address]) -> list[Form]:
    """The forms on all pages that can be opened, each once."""
    found: dict[tuple[str, str, tuple[str, ...]], Form] = {}
    for address in every:
        for number in range(1, 1 + (PER_ADDRESS if address.places else 1)):
            path = address.filled(number, _WORDS[0])
            if path.endswith((".pdf", ".crl")):
                continue
            answer = client.get(path)
            if answer.status_code == 200 and "text/html" in answer.get("Content-Type", ""):
                for form in _forms_on(path, answer.content.decode()):
                    found.setdefault((form.action, form.method, tuple(form.fields)), form)
    return list(found.values())


def _forms_on(path: str, page: str) -> list[Form]:
    reader = _Reader(path)
    reader.feed(page)
    # A form of method "dialog" closes a window of the page and sends nothing.
    return [form for form in reader.forms if "/sign-out/" not in form.action and form.method != "dialog"]


class _Reader(HTMLParser):
    """Collects forms with what a browser would send of them unchanged, and each button."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path, self.forms, self._inside, self._chosen_in = path, [], False, ""
        self.forms: list[Form]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Form(said.get("action") or self.path, said.get("method", "get").lower()))
            self._inside = True
        if not self._inside or not self.forms:
            return
        form, name = self.forms[-1], said.get("name", "")
        if tag == "option":
            if self._chosen_in and ("selected" in said or not form.fields[self._chosen_in]):
                form.fields[self._chosen_in] = [said.get("value", "")]
        elif name and tag == "select":
            form.fields.setdefault(name, [])
            self._chosen_in = name
        elif name and said.get("type") == "file":
            form.files.append(name)
        elif name and tag in ("input", "textarea", "button"):
            ticked = said.get("type") not in ("checkbox", "radio") or "checked" in said
            if tag == "textarea" or tag == "input" and said.get("type", "") in _TYPED:
                form.texts.append(name)
            form.fields.setdefault(name, []).extend([said.get("value", "")] if ticked else [])

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False
        if tag == "select":
            self._chosen_in = ""

"""What each address of the program answers on a shop that has one of everything: a page, or what in its
place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from django.test import Client
from django.urls import reverse

from tests.fuzz.targets import Address

Values = dict[str, dict[str, int | str]]
"""By the name of an address, what stands at its places; `?`: what it is asked."""
NUMBERS = range(6)
WORDS = {
    "edition": ("asme_ix_2023",),
    "file": ("procedure",),
    "key": ("range", "asme_ix_2023"),
    "kind": ("procedure-test", "procedure", "welder-test"),
    "place": ("row/0",),
    "process": ("GMAW",),
    "side": ("procedure",),
}
"""What stands at a place that takes words, tried in turn."""
FILE = re.compile(r"\.(?:[a-z]+|%\(form\)s)$")
"""How the address of a file ends."""


@dataclass(frozen=True)
class Answer:
    """What an address answers to somebody who opens it."""

    address: Address
    path: str
    page: str = ""
    """The page, as HTML; empty where it answers none."""
    instead: str = ""
    """What it answers in its place."""


def pages_of(client: Client, every: list[Address], known: Values | None = None) -> Iterator[str]:
    """One page for each address that shows one to this person, with the first record that has it."""
    return (path for path, _ in answers_of(client, every, known))


def answers_of(
    client: Client, every: list[Address], known: Values | None = None, language: str = "en"
) -> Iterator[tuple[str, str]]:
    """The same with what each page says, as HTML."""
    for address in every:
        answer = answer_of(client, address, (known or {}).get(address.name), language)
        if answer.page:
            yield answer.path, answer.page


def answer_of(
    client: Client, address: Address, known: Mapping[str, int | str] | None = None, language: str = "en"
) -> Answer:
    """The first page the address shows, with the values that are known or with those a walk tries; to who
    has not signed in where it sends on who has."""
    if FILE.search(address.text):
        return Answer(address, "", instead="a file or a part of a page")
    found = Answer(address, "", instead="nothing there")
    for values in [known] if known is not None else _tried(address):
        asked = values.get("?")
        path = address.filled_by(values) + (f"?{asked}" if asked else "")
        answer = client.get(path)
        if answer.status_code == 405:
            return Answer(address, path, instead="takes entries")
        if answer.status_code == 200:
            if not answer.streaming and b"<main" in answer.content:
                return Answer(address, path, answer.content.decode())
            return Answer(address, path, instead="a file or a part of a page")
        if answer.status_code == 302:
            found = Answer(address, path, instead="sends on")
    if found.instead == "sends on":
        answer = Client().get(found.path, headers={"Accept-Language": language})
        if answer.status_code == 200 and b"<main" in answer.content:
            return Answer(address, found.path, answer.content.decode())
    return found


def _tried(address: Address) -> Iterator[dict[str, int | str]]:
    """Numbers and words for the places of an address, equal numbers first."""
    names = [name for name, _ in address.places]
    each = [NUMBERS if is_int else WORDS.get(name, ()) for name, is_int in address.places]
    ways = sorted(product(*each), key=lambda values: len({v for v in values if isinstance(v, int)}))
    return (dict(zip(names, values, strict=True)) for values in ways)


def in_language(client: Client, language: str) -> Client:
    """The same person reads in that language from now on."""
    client.post(reverse("look"), {"look": "", "language": language})
    return client

"""A lone owner who goes from an empty database to the first paper, and counts fields typed or chosen, clicks,
pages and refusals. `BrowserOwner` sits at a browser; `FormsOwner` fills the same forms without one."""

from __future__ import annotations

import io
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urljoin

from django.test import Client
from lxml import html
from playwright.sync_api import Page
from pypdf import PdfReader

from qualification.models import Record, State
from wps.background import tasks

CHECKS = "**/check/"
"""Addresses of the checks while one types; the walk reads what the page says once it is sent."""


@dataclass
class Owner(ABC):
    """The counts, and the steps that every walk has."""

    fields: int = 0
    clicks: int = 0
    pages: int = 1
    refusals: list[str] = field(default_factory=list)

    def open_the_shop(self, code: str, more: Mapping[str, str]) -> None:
        """Fill in the first page and press its button."""
        self.fill(
            {
                "shop_name": "Longshore Frames",
                "code_edition": code,
                "first_name": "Ida",
                "last_name": "Maas",
                "username": "ida",
                "password": "eleven metres of gangway",
                "works_alone": "on",
                **more,
            }
        )
        self.press("Open the shop")

    def row(self, index: int, entries: Mapping[str, str]) -> None:
        """Fill in one row of results."""
        self.fill({f"row-{index}-{key}": text for key, text in entries.items()})

    def fill(self, entries: Mapping[str, str]) -> None:
        """Type into, choose from or tick the field of each name; each has to be in sight."""
        for name, text in entries.items():
            self._put(name, text)
            self.fields += 1

    def press(self, name: str) -> None:
        """Press the first button or link of that name, and go to the page that answers."""
        self._press(name)
        self.clicks += 1
        self.pages += 1
        self.refusals += self._refused()

    def print(self, name: str = "Print as PDF") -> str:
        """Press the link to the paper, once it is made; its text."""
        assert tasks.run_all() >= 1
        self.clicks += 1
        self.pages += 1
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(self._read(name))).pages)

    def assert_since(self, what: str, begun: tuple[int, int], fields: int, clicks: int) -> None:
        """The counts since fields and clicks were at `begun`, printed and within the goal."""
        found = self.fields - begun[0], self.clicks - begun[1]
        said = f"{what}: {found[0]} fields (goal {fields}), {found[1]} clicks (goal {clicks})"
        print(said)
        assert (found[0] <= fields, found[1] <= clicks) == (True, True), said

    def assert_goal(self, what: str, fields: int, clicks: int, *kinds: type[Record]) -> None:
        """The counts, printed and within the goal; nothing refused, and one first revision of each kind."""
        said = (
            f"{what}: {self.fields} fields (goal {fields}), {self.clicks} clicks (goal {clicks}),"
            f" {self.pages} pages, {len(self.refusals)} refusals"
        )
        print(said)
        assert self.refusals == []
        assert self.fields <= fields, said
        assert self.clicks <= clicks, said
        for kind in kinds:
            record = kind.objects.get()
            assert (record.revision, record.state) == (0, State.APPROVED)

    @abstractmethod
    def _put(self, name: str, text: str) -> None: ...

    @abstractmethod
    def _press(self, name: str) -> None: ...

    @abstractmethod
    def _read(self, name: str) -> bytes: ...

    @abstractmethod
    def _refused(self) -> list[str]: ...


@dataclass(kw_only=True)
class BrowserOwner(Owner):
    """At a browser. What is folded away cannot be filled."""

    page: Page

    def __post_init__(self) -> None:
        self.page.route(CHECKS, lambda route: route.fulfill(status=204))

    def _put(self, name: str, text: str) -> None:
        control = self.page.locator(f'[name="{name}"]').first
        assert control.is_visible(), f"{name} is folded away or not on the page"
        kind = control.evaluate("each => each.type")
        if kind == "radio" or text not in ("", "on") and kind == "checkbox":
            control = self.page.locator(f'[name="{name}"][value="{text}"]')
        if kind == "select-one":
            control.select_option(text)
        elif kind in ("checkbox", "radio"):
            control.check()
        else:
            control.fill(text)

    def _press(self, name: str) -> None:
        button = self.page.get_by_role("button", name=name)
        target = button if button.count() else self.page.get_by_role("link", name=name)
        with self.page.expect_navigation():
            target.first.click()

    def _read(self, name: str) -> bytes:
        href = self.page.get_by_role("link", name=name).first.get_attribute("href")
        answer = self.page.request.get(urljoin(self.page.url, href))
        assert answer.headers["content-type"] == "application/pdf"
        return answer.body()

    def _refused(self) -> list[str]:
        return [text for text in self.page.locator(".problem:visible").all_inner_texts() if text]


@dataclass(kw_only=True)
class FormsOwner(Owner):
    """Without a browser: fills the forms of each page as it was served."""

    client: Client
    start: str

    def __post_init__(self) -> None:
        self._show(self.client.get(self.start))

    def _show(self, answer: Any) -> None:
        path = answer.redirect_chain[-1][0] if getattr(answer, "redirect_chain", None) else None
        self.here = path or answer.request["PATH_INFO"]
        self.document = html.document_fromstring(answer.content.decode())

    def text_of(self, part: str) -> str:
        """The words of the part of the page with that id."""
        return _words(self.document.get_element_by_id(part))

    def _put(self, name: str, text: str) -> None:
        control = next(
            (e for e in self.document.iter("input", "select", "textarea") if e.get("name") == name), None
        )
        assert control is not None, f"{name} is not on the page"
        assert not _is_out_of_sight(control), f"{name} is folded away"
        if control.get("type") == "radio":
            self._form_of(control).fields[name] = text
        elif control.get("type") == "checkbox":
            boxes = [each for each in self._form_of(control).inputs if each.get("name") == name]
            next((box for box in boxes if box.get("value") == text), control).checked = True
        else:
            control.value = text

    @staticmethod
    def _form_of(control: Any) -> Any:
        return next(control.iterancestors("form"))

    def _press(self, name: str) -> None:
        for button in self.document.iter("button"):
            if name in _words(button):
                form = self._form_of(button)
                values = [(key, value or "") for key, value in form.form_values()]
                values += [(button.get("name"), button.get("value", ""))] if button.get("name") else []
                data: dict[str, list[str]] = {}
                for key, value in values:
                    data.setdefault(key, []).append(value)
                target = urljoin(self.here, form.get("action") or self.here)
                self._show(self.client.post(target, data, follow=True))
                return
        self._show(self.client.get(self._link(name), follow=True))

    def _link(self, name: str) -> str:
        return next(urljoin(self.here, a.get("href")) for a in self.document.iter("a") if name in _words(a))

    def _read(self, name: str) -> bytes:
        answer = self.client.get(self._link(name))
        assert answer["Content-Type"] == "application/pdf"
        return answer.content

    def _refused(self) -> list[str]:
        return [_words(each) for each in self.document.find_class("problem")]


def _words(element: Any) -> str:
    return " ".join(element.text_content().split())


def _is_out_of_sight(control: Any) -> bool:
    folded = any(each.get("open") is None for each in control.iterancestors("details"))
    return folded or any(each.get("hidden") is not None for each in (control, *control.iterancestors()))

"""What every list of records has: an order that heads set, filters, pages, and a memory of how each person
left it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest

from qualification.posted import sought_in

A_PAGE = 40
"""Rows on one page of a list."""


@dataclass(frozen=True)
class Head:
    """One column: its label, and the fields it sorts by; a column without fields does not sort."""

    label: str
    by: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        return self.by[0] if self.by else ""


class Asked:
    """What somebody wants of one list: the filters of the address, else as they left it."""

    def __init__(self, request: HttpRequest, name: str, filters: Sequence[str]) -> None:
        """`filters` are remembered; the search text `q` is not."""
        session, kept_as = request.session, f"list {name}"
        if "clear" in request.GET:
            session.pop(kept_as, None)
        kept: dict[str, str] = session.get(kept_as, {})
        is_form = "q" in request.GET
        self.text = sought_in(request)
        self.values = {
            key: sought_in(request, key) if is_form or key in request.GET else kept.get(key, "")
            for key in filters
        }
        self.sort = sought_in(request, "sort") or kept.get("sort", "")
        self.page = request.GET.get("page")
        stated = {key: value for key, value in {**self.values, "sort": self.sort}.items() if value}
        if (is_form or "sort" in request.GET) and stated != kept:
            session[kept_as] = stated
        self.is_remembered = not is_form and any(
            stated.get(key) == value and key not in request.GET for key, value in kept.items()
        )

    def __getitem__(self, key: str) -> str:
        return self.values[key]

    @property
    def is_filtered(self) -> bool:
        return bool(self.text or any(self.values.values()))

    def address(self, **more: str) -> str:
        """The filters as they stand in an address, with others in their place."""
        sort = {"sort": self.sort} if self.sort else {}
        return urlencode({"q": self.text, **self.values, **sort, **more})

    def ordered(self, found: QuerySet[Any], heads: Sequence[Head]) -> QuerySet[Any]:
        """In the order of the head that was pressed, and its own where none was."""
        head = next((each for each in heads if each.key and each.key == self.sort.lstrip("-")), None)
        if head is None:
            return found
        turned = self.sort.startswith("-")
        return found.order_by(*(_turned(field) if turned else field for field in head.by), "pk")

    def page_of(self, found: QuerySet[Any] | Sequence[Any]) -> Page[Any]:
        return Paginator(found, A_PAGE).get_page(self.page)

    def context(self, page: Page[Any], heads: Sequence[Head]) -> Mapping[str, Any]:
        """What the partials `_heads.html`, `_list_foot.html` and `_pages.html` need."""
        return {
            "page": page,
            "heads": [self._head(each) for each in heads],
            "same_filter": self.address(),
            "is_filtered": self.is_filtered,
            "is_remembered": self.is_remembered,
        }

    def _head(self, head: Head) -> dict[str, str]:
        if not head.key:
            return {"label": head.label}
        is_up, is_down = self.sort == head.key, self.sort == f"-{head.key}"
        return {
            "label": head.label,
            "url": f"?{self.address(sort=f'-{head.key}' if is_up else head.key)}",
            "turned": "ascending" if is_up else "descending" if is_down else "",
        }


def _turned(field: str) -> str:
    return field.removeprefix("-") if field.startswith("-") else f"-{field}"

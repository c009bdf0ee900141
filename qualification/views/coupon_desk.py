"""A draft of a test record on the desk, for procedure tests and welder tests alike."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.http import HttpRequest, QueryDict
from django.urls import reverse

from qualification.evidence.checks import checks_of_head
from qualification.evidence.coverage import USES, outcome_of
from qualification.evidence.range_gaps import RangeGap, range_gaps
from qualification.forms.coupon import HeadForm
from qualification.forms.desk import Desk
from qualification.forms.not_stated import contents_context
from qualification.forms.range_gaps import GapRow, gap_rows
from qualification.models import CouponRecord
from qualification.roles import Person
from qualification.rules.required.check import Item, missing
from qualification.rules.testing.outcome_words import outcome_content
from qualification.rules.trials.combinations import CombinationCheck
from qualification.snapshots.required_items import coupon_items


@dataclass(frozen=True)
class Pages:
    """What one kind of test record brings along."""

    model: type[CouponRecord]
    form: type[HeadForm]
    kind: str
    """`procedure_test` or `welder_test`: first part of its URL names and of its own template."""
    list_url: str
    more: Callable[[HttpRequest, CouponRecord], dict[str, Any]] = lambda request, record: {}
    """Context only this kind's page needs."""

    def url(self, page: str, record: CouponRecord) -> str:
        return reverse(f"{self.kind}_{page}" if page else self.kind, args=[record.pk])

    def urls(self, record: CouponRecord) -> dict[str, str]:
        found = {
            f"{page}_url": self.url(page, record)
            for page in ("edit", "check", "results", "step", "revise", "editions", "rows", "move", "also")
        }
        return found | {
            "like_url": f"{reverse(f'{self.kind}_add')}?like={record.pk}",
            "record_url": self.url("", record),
            "list_url": reverse(self.list_url),
        }


def entry_pages(pages: Pages, record: CouponRecord) -> dict[str, str]:
    welder = record.welder
    edit = reverse("welder_edit", args=[welder.pk]) if welder else ""
    return {"edit": pages.url("edit", record), "results": pages.url("results", record), "welder": edit}


class CouponDesk(Desk):
    """A draft of a test record on the desk."""

    check_template = "qualification/_coupon_check.html"
    verdict_template = "qualification/_coupon_verdict.html"

    def __init__(self, pages: Pages, record: CouponRecord, data: QueryDict | None) -> None:
        self.pages, self.use, self.form = pages, USES[pages.model], pages.form
        super().__init__(record, data)

    @property
    def wanted(self) -> set[tuple[int | None, str]]:
        gaps = {(gap.line, gap.key) for gap in self._range_gaps}
        return gaps | {(item.line, name) for item in missing(self._items) for name in item.names}

    @property
    def edit_url(self) -> str:
        return self.pages.url("edit", self.record)

    @property
    def check_url(self) -> str:
        return self.pages.url("check", self.record)

    def checks_of_head(self) -> Iterable[CombinationCheck]:
        return checks_of_head(self.record)

    def store(self, person: Person) -> None:
        self.head.take_on_welder(person)
        super().store(person)

    def after(self, do: str) -> str:
        return self.pages.url("results", self.record) if do == "results" else super().after(do)

    @cached_property
    def _range_gaps(self) -> tuple[RangeGap, ...]:
        return range_gaps(self.record)

    @cached_property
    def _items(self) -> tuple[Item, ...]:
        return coupon_items(self.record)

    @cached_property
    def required(self) -> dict[str, Any]:
        """The tests the coupon has to pass as it is typed."""
        return outcome_content(outcome_of(self.record), self.units)

    @cached_property
    def gaps(self) -> list[GapRow]:
        """What decides the range of the coupon as it is typed and is not stated."""
        return gap_rows(self._range_gaps, self.forms)

    @property
    def contents(self) -> dict[str, Any]:
        """What the code wants stated and the page does not state yet."""
        return contents_context(self._items, self.forms, {**entry_pages(self.pages, self.record), "edit": ""})

"""A draft of a test record on the desk, for procedure tests and welder tests alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, QueryDict
from django.urls import reverse

from qualification.evidence.checks import checks_of_head
from qualification.evidence.coverage import USES, outcome_of
from qualification.evidence.range_gaps import range_gaps
from qualification.forms.check_links import linked_checks
from qualification.forms.coupon import HeadForm
from qualification.forms.not_stated import contents_context
from qualification.forms.range_gaps import GapRow, gap_rows
from qualification.forms.record_forms import RecordForms
from qualification.models import CouponRecord, UnitSystem
from qualification.records.drafts import version_of
from qualification.rules.required.check import missing
from qualification.rules.testing.outcome_words import outcome_content
from qualification.snapshots.required_items import coupon_items

VERSION = "version"
"""Hidden input with the version of the draft a form was drawn with."""


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
    welder = record.welder  # type: ignore[attr-defined]
    edit = reverse("welder_edit", args=[welder.pk]) if welder else ""
    return {"edit": pages.url("edit", record), "results": pages.url("results", record), "welder": edit}


class CouponDraft:
    """A draft on the desk: its head and entries, as stored or as typed."""

    def __init__(self, pages: Pages, record: CouponRecord, data: QueryDict | None) -> None:
        self.pages, self.record = pages, record
        self.stored = {"joint": record.joint, "lines": record.lines}
        self.version = data.get(VERSION, "") if data is not None else version_of(record)
        units = data.get("units", "") if data is not None else record.units
        self.units = units if units in UnitSystem.values else record.units
        self.forms = RecordForms(
            USES[pages.model], self.units, record.edition, record.joint, record.lines, data
        )
        self.wants_saving = data is not None and not self.forms.arranged
        # A button that only rearranges process lines keeps what is typed in the head, and judges none of it.
        typed = data.dict() if data is not None and self.forms.arranged else None
        self.head = pages.form(None if typed else data, instance=record, initial=typed)

    def take_on(self) -> None:
        """Put the entries as typed on the record in hand."""
        self.record.units = self.units
        self.record.joint, self.record.lines = self.forms.joint_entries, self.forms.line_entries

    def required(self) -> dict[str, Any]:
        """The tests the coupon has to pass as it is typed."""
        self.take_on()
        return outcome_content(outcome_of(self.record), self.units)

    def checks(self) -> list[dict[str, Any]]:
        """Entries to check by common sense, each with its field."""
        return linked_checks(self.forms, checks_of_head(self.record))

    def gaps(self) -> list[GapRow]:
        """What decides the range of the coupon as it is typed and is not stated."""
        self.take_on()
        return gap_rows(range_gaps(self.record), self.forms)

    def contents(self) -> dict[str, Any]:
        """What the code wants stated and the page does not state yet; the folds that hide it are opened."""
        if self.head.is_bound:
            self.head.is_valid()  # puts what the head says on the record in hand
        self.take_on()
        items = coupon_items(self.record)
        gaps = {(gap.line, gap.key) for gap in range_gaps(self.record)}
        self.forms.want(gaps | {(item.line, name) for item in missing(items) for name in item.names})
        return contents_context(items, self.forms, {**entry_pages(self.pages, self.record), "edit": ""})

"""What stands beside a weld without deciding anything about it: its papers, its places on drawings, the
details of its job, and what the shop reckons with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from qualification.codes.quiet_checks import in_force
from qualification.evidence.kept import AnswerCache
from qualification.models.quiet_check import QuietCheck
from qualification.rules.arithmetic.job_figures import Money
from wps.documents.attached import panel_of
from wps.models import Attachment, CouponCosts, Detail, MapMark, Part

MOST = 1000
TABLES = frozenset(model._meta.db_table for model in (Attachment, CouponCosts, Detail, MapMark, QuietCheck))


@dataclass(frozen=True)
class AroundWeld:
    """Read together, kept until one of them changes."""

    panel: dict[str, Any]
    """What `wps/_attached.html` needs."""
    map_marks: Sequence[MapMark]
    details: Sequence[Detail]
    """The library of the job, each with its number and title."""
    left_aside: dict[str, QuietCheck]
    """Checks by common sense that the shop leaves aside, by key."""
    money: Money

    @classmethod
    def of(cls, part: Part) -> AroundWeld:
        return _kept.of((part.pk, part.job_id), lambda: cls._read(part))

    @classmethod
    def _read(cls, part: Part) -> AroundWeld:
        return cls(
            panel_of(part),
            tuple(part.map_marks.select_related("drawing")),
            tuple(Detail.objects.filter(job=part.job_id).only("number", "title")),
            in_force(),
            CouponCosts.current().as_money(),
        )


_kept: AnswerCache[AroundWeld] = AnswerCache(MOST, TABLES)

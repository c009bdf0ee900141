"""What the first visitor after a start would wait for, worked out before: the tables of the codes in use, how
welders stand, and the open jobs against procedures and welders."""

from __future__ import annotations

from typing import Any

from django.template.loader import get_template
from django.template.loader_tags import ExtendsNode, IncludeNode
from django.utils import timezone

from qualification.models import Welder
from qualification.rules.tabular.schema import TableError
from qualification.welders.in_short import in_short_of_all
from wps.jobs.board import KEPT, MOST_WELDS, Board, what_it_says
from wps.models import CouponCosts, Job

PAGES = (
    "wps/today.html",
    "wps/job.html",
    "wps/part.html",
    "wps/who_may_weld.html",
    "qualification/welder.html",
)
MOST_LOOKS = 8
"""Different welds of a job whose pages are worked out ahead."""


def warm_up() -> None:
    """Look at everything once; nothing of it is shown. Only as many jobs as are kept."""
    today, read, money = timezone.localdate(), set[str](), CouponCosts.current().as_money()
    for name in PAGES:
        _read(name, read)
    in_short_of_all(Welder.objects.filter(active=True), today)
    for job in Job.objects.filter(open=True)[:KEPT]:
        try:
            board = Board.of(job, today)
            parts = list(job.parts.all()[:MOST_WELDS])
            board.rows(parts)
            for part in list({what_it_says(part): part for part in parts}.values())[:MOST_LOOKS]:
                board.page(part).look(money)
        except TableError:  # a code that is not installed here; its page says so
            continue


def _read(name: str, read: set[str]) -> None:
    """Read a template, what it extends and what it includes; all stay at hand."""
    if name in read:
        return
    read.add(name)
    for kind, place in ((ExtendsNode, "parent_name"), (IncludeNode, "template")):
        template: Any = get_template(name)
        for node in template.template.nodelist.get_nodes_by_type(kind):
            inner = getattr(node, place).var
            if isinstance(inner, str):
                _read(inner, read)

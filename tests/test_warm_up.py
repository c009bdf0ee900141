"""What the server works out after a start is what its pages then show."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from tests.marked import needs_marks
from tests.shop_records import job, part, procedure_test, spec, welder, welder_test
from wps.jobs import board, warm_up
from wps.models import Job

pytestmark = pytest.mark.django_db


@needs_marks
def test_the_first_look_finds_everything_at_hand(
    reader_client: Client, author: User, shop: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    spec(author, procedure_test(author), number="W-101", state="approved")
    welder_test(author, welder())
    made = job()
    drawn = part(made, spec_number="W-101")
    Job.objects.create(number="J-9", title="Of a code that is not here", edition="nowhere_1999")
    board._boards.forget()
    warm_up.warm_up()
    asked: list[object] = []
    monkeypatch.setattr(board, "tally_all", lambda *each: asked.append(each))
    monkeypatch.setattr(board, "figures_of", lambda *each: asked.append(each))
    kept = board.Board.of(made, timezone.localdate())
    assert kept.rows([drawn])[0].part == drawn
    assert kept.page(drawn) is kept.page(drawn)
    assert "answers" in vars(kept.page(drawn))
    assert reader_client.get(drawn.get_absolute_url()).status_code == 200
    assert asked == []

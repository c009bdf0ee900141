"""Personal data of welders: what is held, what removing it leaves whole, and when it is due."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from qualification.models import ProcessUse, Shop, Welder, WelderTest
from qualification.models.audit import AuditEntry
from qualification.records.audit import append
from qualification.records.audit_check import check_trail
from qualification.records.unchanged import changed_since_approval
from qualification.welders.personal_data import CannotRemove, due, remove
from tests.shop_records import approve, welder, welder_test
from wps.today.personal import personal_data_due

pytestmark = pytest.mark.django_db
PRIVATE = {
    "born_on": date(1984, 2, 29),
    "born_at": "Ellery",
    "identified_by": "passport",
    "notes": "Left hand",
}


@pytest.fixture
def former() -> Welder:
    found = welder()
    Welder.objects.filter(pk=found.pk).update(active=False, **PRIVATE)
    found.refresh_from_db()
    return found


def use(of: Welder, day: date) -> None:
    ProcessUse.objects.create(
        welder=of,
        process="GMAW",
        operation="semiautomatic",
        used_on=day,
        evidence="Job",
        recorded_by_name="M",
    )


def test_all_that_is_held_comes_as_data(administrator_client: Client, former: Welder, author: User) -> None:
    use(former, date(2020, 1, 2))
    welder_test(author, former, state="draft")
    append("use", "welder", former.pk, str(former), "Maren Oosting", {})
    found = json.loads(administrator_client.get(f"/welders/{former.pk}/personal-data.json").content)
    assert found["welder"]["identified_by"] == "passport"
    assert [each["used_on"] for each in found["qualification.processuse"]] == ["2020-01-02"]
    assert len(found["qualification.weldertest"]) == 1
    assert [each["verb"] for each in found["audit_trail"]] == ["use", "personal_file"]
    pointing = {each.related_model._meta.label_lower for each in Welder._meta.related_objects}
    assert pointing <= set(found)


def test_removing_leaves_records_papers_and_trail_whole(
    administrator_client: Client, former: Welder, author: User, approver: User
) -> None:
    Welder.objects.update(active=True)
    day = timezone.localdate() - timedelta(days=30)
    record = welder_test(author, former, state="draft", welded_on=day)
    approve(record, author, approver)
    Welder.objects.update(active=False)
    frozen, name = record.snapshot_hash, former.name
    path = f"/welders/{former.pk}/personal-data/remove/"
    assert administrator_client.post(path, {"reason": " "}).status_code == 422
    assert administrator_client.post(path, {"reason": "Asked for"}).status_code == 302
    former.refresh_from_db()
    assert (former.name, former.stamp) == ("Former welder AB", "AB")
    assert (former.born_on, former.born_at, former.identified_by, former.notes) == (None, "", "", "")
    record = WelderTest.objects.get(pk=record.pk)
    assert (changed_since_approval(record), record.snapshot_hash) == ("", frozen)
    assert record.snapshot["welder_name"] == name
    assert check_trail().holds
    told = AuditEntry.objects.latest("number")
    assert told.verb == "remove_personal"
    assert not any(str(value) in json.dumps(told.data) for value in (name, *PRIVATE.values()))
    count = AuditEntry.objects.count()
    administrator_client.post(path, {"reason": "Again"})
    assert AuditEntry.objects.count() == count


def test_an_active_welder_and_others_than_administrators_are_refused(
    approver_client: Client, administrator: User
) -> None:
    active = welder()
    with pytest.raises(CannotRemove, match="is active"):
        remove(active, administrator, "Asked for")
    for path in ("/shop/personal-data/", f"/welders/{active.pk}/personal-data/"):
        assert approver_client.get(path).status_code == 403
    assert approver_client.get(f"/welders/{active.pk}/personal-data.json").status_code == 403
    assert approver_client.post(f"/welders/{active.pk}/personal-data/remove/").status_code == 403


@pytest.mark.parametrize(
    ("today", "years", "is_due"),
    [
        ("2026-03-05", 10, False),
        ("2026-03-06", 10, True),
        ("2026-03-06", 20, False),
        ("2090-01-01", None, False),
    ],
)
def test_it_is_due_after_the_time_of_the_shop(
    former: Welder, today: str, years: int | None, is_due: bool
) -> None:
    Shop.objects.create(pk=1, personal_years=years)
    assert due(date(2090, 1, 1)) == []  # nothing says when the welder was last at work
    use(former, date(2016, 3, 5))
    use(former, date(2010, 1, 1))
    assert bool(due(date.fromisoformat(today))) is is_due


def test_today_tells_administrators_until_it_is_removed(
    administrator: User, approver: User, former: Welder
) -> None:
    use(former, timezone.localdate() - timedelta(days=4000))
    section = personal_data_due(administrator)
    assert section is not None
    assert [each.what for each in section.matters] == [str(former)]
    assert personal_data_due(approver) is None
    remove(former, administrator, "Time is over")
    assert not personal_data_due(administrator).matters

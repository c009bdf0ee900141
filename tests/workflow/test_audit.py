"""The audit trail: appended only, chained, and broken links are found."""

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, connection, transaction

from qualification.audit import GENESIS, append, first_break, record_event
from qualification.history import history_of
from qualification.models import AuditEntry, Record
from qualification.workflow import apply
from tests.shop_records import approve, procedure_test, spec


@pytest.fixture
def trail(author: User, approver: User) -> list[AuditEntry]:
    """Three events of one procedure."""
    made = spec(author, procedure_test(author))
    record_event("create", made, author)
    approve(made, author, approver)
    return list(AuditEntry.objects.order_by("id"))


def tamper(sql: str, *values: object) -> None:
    """Change the table behind the program's back."""
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def test_an_empty_trail_is_whole(db: None) -> None:
    assert first_break() is None


def test_each_entry_names_the_one_before(trail: list[AuditEntry]) -> None:
    assert [entry.previous_hash for entry in trail] == [GENESIS, *(entry.hash for entry in trail[:-1])]
    assert first_break() is None


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("actor_name", "Somebody Else"),
        ("verb", "withdraw"),
        ("record_name", "W-999 rev 0"),
        ("record_id", 4711),
        ("record_kind", "welder"),
        ("data", '{"reason": "made up"}'),
        ("at", "2001-01-01 00:00:00"),
    ],
)
@pytest.mark.parametrize("which", [0, 1, 2])
def test_an_entry_changed_in_the_database_is_found(
    column: str, value: object, which: int, trail: list[AuditEntry]
) -> None:
    tamper(f"UPDATE qualification_auditentry SET {column} = %s WHERE id = %s", value, trail[which].pk)
    assert first_break() == trail[which]


def test_an_entry_changed_together_with_its_hash_breaks_the_link_behind_it(trail: list[AuditEntry]) -> None:
    entry = AuditEntry.objects.get(pk=trail[0].pk)
    entry.actor_name = "Somebody Else"
    tamper(
        "UPDATE qualification_auditentry SET actor_name = %s, hash = %s WHERE id = %s",
        entry.actor_name,
        entry.expected_hash(),
        entry.pk,
    )
    assert first_break() == trail[1]


@pytest.mark.parametrize("which", [0, 1])
def test_an_entry_taken_out_is_found(which: int, trail: list[AuditEntry]) -> None:
    tamper("DELETE FROM qualification_auditentry WHERE id = %s", trail[which].pk)
    assert first_break() == trail[which + 1]


def test_an_entry_put_in_between_is_found(trail: list[AuditEntry]) -> None:
    append("bless", "procedure", 1, "W-101 rev 0", "Somebody Else", {})
    last = AuditEntry.objects.order_by("-id").first()
    tamper("UPDATE qualification_auditentry SET previous_hash = %s WHERE id = %s", "f" * 64, last.pk)
    assert first_break() == last


def test_the_chain_cannot_fork(trail: list[AuditEntry]) -> None:
    fork = AuditEntry(
        at=trail[1].at,
        actor_name="x",
        verb="x",
        record_kind="x",
        record_id=1,
        record_name="x",
        previous_hash=trail[1].previous_hash,
        hash="a" * 64,
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        fork.save()


def test_entries_are_neither_changed_nor_deleted(trail: list[AuditEntry]) -> None:
    for attempt in (
        trail[0].save,
        trail[0].delete,
        AuditEntry.objects.all().delete,
        lambda: AuditEntry.objects.update(verb="x"),
    ):
        with pytest.raises(TypeError, match="cannot be"):
            attempt()


def test_a_step_that_fails_leaves_no_entry(author: User, monkeypatch: pytest.MonkeyPatch) -> None:
    made = spec(author, procedure_test(author))
    monkeypatch.setattr(Record, "save", lambda self: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        apply("submit", made, author)
    assert AuditEntry.objects.count() == 0


def test_the_history_outlives_a_name(trail: list[AuditEntry], author: User) -> None:
    author.first_name, author.last_name = "Someone", "New"
    author.save()
    assert {entry.actor_name for entry in AuditEntry.objects.all()} == {"Maren Oosting", "Tobias Quell"}


def test_the_history_reads_as_sentences(author: User, approver: User) -> None:
    made = spec(author, procedure_test(author))
    apply("submit", made, author)
    apply("return", made, approver, "Preheat is missing.")
    newest, first = history_of(made)
    assert (newest.who, newest.did, newest.detail) == (
        "Tobias Quell",
        "returned it to the author",
        "Preheat is missing.",
    )
    assert (first.who, first.did, first.detail) == ("Maren Oosting", "handed it in for review", "")

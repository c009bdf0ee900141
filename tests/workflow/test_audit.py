"""The audit trail: appended only, chained, and broken links are found."""

import pytest
from django.contrib.auth.models import User
from django.db import DatabaseError, IntegrityError, connection, transaction

from qualification.models import AuditEntry, Record
from qualification.records import audit_guard
from qualification.records.audit import GENESIS, append, head, record_event
from qualification.records.audit_check import Witness, check_trail, first_break
from qualification.records.audit_key import key_path, present_key
from qualification.records.history import history_of
from qualification.records.workflow import apply
from tests.shop_records import approve, procedure_test, spec


@pytest.fixture
def trail(author: User, approver: User) -> list[AuditEntry]:
    """One event of a test, and three of the procedure on it."""
    made = spec(author, procedure_test(author))
    record_event("create", made, author)
    approve(made, author, approver)
    return list(AuditEntry.objects.order_by("id"))


def tamper(sql: str, *values: object) -> None:
    """Change the table behind the program's back, as somebody who may drop triggers can."""
    audit_guard.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
    audit_guard.install(connection)


def broken_at() -> int:
    """Number of the entry at which the trail breaks first."""
    found = first_break()
    assert found is not None
    return found.number


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
    assert broken_at() == trail[which].number


def test_an_entry_changed_together_with_its_hash_is_found(trail: list[AuditEntry]) -> None:
    entry = AuditEntry.objects.get(pk=trail[0].pk)
    entry.actor_name = "Somebody Else"
    tamper(
        "UPDATE qualification_auditentry SET actor_name = %s, hash = %s WHERE id = %s",
        entry.actor_name,
        entry.expected_hash(b"a key of the forger's own"),
        entry.pk,
    )
    assert broken_at() == trail[0].number


@pytest.mark.parametrize("which", [0, 1])
def test_an_entry_taken_out_is_found(which: int, trail: list[AuditEntry]) -> None:
    tamper("DELETE FROM qualification_auditentry WHERE id = %s", trail[which].pk)
    assert broken_at() == trail[which].number


@pytest.mark.parametrize("kept", [0, 1, 2])
def test_a_shortened_trail_is_found_by_what_a_paper_remembers(kept: int, trail: list[AuditEntry]) -> None:
    paper = Witness("W-101 rev 0", head())
    tamper("DELETE FROM qualification_auditentry WHERE number > %s", kept)
    assert first_break() is None
    found = first_break([paper])
    assert found is not None
    assert found.number == kept + 1
    assert found.sentence == (
        f"The end is missing: the trail stops after {kept} entries, and W-101 rev 0 was made when it had 4."
    )


def rewrite(entries: list[AuditEntry], secret: bytes) -> None:
    """Seal every entry anew, each after the one before, with the key at hand; none means as of old."""
    previous = GENESIS
    for entry in entries:
        entry.previous_hash = previous
        entry.key_name = entry.key_name if secret else ""
        entry.hash = previous = entry.expected_hash(secret)
    for step in ("x", ""):  # both columns are unique, so first out of each other's way
        for entry in entries:
            tamper(
                "UPDATE qualification_auditentry SET verb = %s, previous_hash = %s, hash = %s, key_name = %s"
                " WHERE id = %s",
                entry.verb,
                step + entry.previous_hash[len(step) :],
                step + entry.hash[len(step) :],
                entry.key_name,
                entry.pk,
            )


@pytest.mark.parametrize("secret", [b"", b"a key of the forger's own"])
def test_a_trail_recomputed_without_the_key_is_found(secret: bytes, trail: list[AuditEntry]) -> None:
    trail[1].verb = "withdraw"
    rewrite(trail, secret)
    assert broken_at() == 1


def test_a_trail_recomputed_with_the_stolen_key_is_found_by_what_a_paper_remembers(
    trail: list[AuditEntry],
) -> None:
    paper, key = Witness("W-101 rev 0", head()), present_key()
    assert key is not None
    trail[1].verb = "withdraw"
    rewrite(trail, key.secret)
    assert first_break() is None
    found = first_break([paper])
    assert found is not None
    assert "The trail was written anew: its first 4 entries" in found.sentence


def test_a_trail_of_before_the_key_stays_whole_is_named_and_is_bound_by_the_first_sealed_entry(
    trail: list[AuditEntry],
) -> None:
    rewrite(trail, b"")
    key_path().unlink()
    append("change", "procedure", 1, "W-101 rev 0", "Maren Oosting", {})
    report = check_trail()
    assert (report.first_break, report.before_key) == (None, 4)
    assert report.sentences[1].startswith("Entries 1 to 4 are from before the key")
    trail[1].verb = "withdraw"
    rewrite(trail, b"")
    assert broken_at() == 5


@pytest.mark.parametrize("content", [None, "no key at all", '{"key": "00", "entries_before": 0}'])
def test_a_key_that_is_gone_damaged_or_another_is_said(content: str | None, trail: list[AuditEntry]) -> None:
    key_path().unlink()
    if content is not None:
        key_path().write_text(content)
    assert broken_at() == 1


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE qualification_auditentry SET verb = 'x'",
        "UPDATE qualification_auditentry SET verb = 'x' WHERE number = 2",
        "DELETE FROM qualification_auditentry",
        "DELETE FROM qualification_auditentry WHERE number = 3",
    ],
)
def test_the_database_itself_refuses_changes(statement: str, trail: list[AuditEntry]) -> None:
    with (
        pytest.raises(DatabaseError, match="Audit entries cannot be"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert AuditEntry.objects.count() == 4


def test_a_guard_that_is_gone_is_said(trail: list[AuditEntry]) -> None:
    assert check_trail().holds
    audit_guard.remove(connection)
    report = check_trail()
    assert report.first_break is None
    assert not report.holds
    assert "its guard is missing" in report.sentences[-1]


def test_an_entry_put_in_between_is_found(trail: list[AuditEntry]) -> None:
    append("bless", "procedure", 1, "W-101 rev 0", "Somebody Else", {})
    last = AuditEntry.objects.order_by("-id").first()
    tamper("UPDATE qualification_auditentry SET previous_hash = %s WHERE id = %s", "f" * 64, last.pk)
    assert broken_at() == last.number


def test_the_chain_cannot_fork(trail: list[AuditEntry]) -> None:
    fork = AuditEntry(
        number=99,
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
    assert not AuditEntry.objects.filter(verb="submit").exists()


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
    assert (first.who, first.did, first.detail) == ("Maren Oosting", "submitted it for review", "")

"""Wrong passphrases, counted: whoever sits at somebody else's open screen cannot try them all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from django.conf import settings
from django.contrib.auth.models import User
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.records.audit import append, name_of
from qualification.records.audit_people import ACCOUNT
from wps.signing.sign import SigningRefused, WrongPassphrase

VERB = "passphrase_failed"


@contextmanager
def counted(person: User) -> Iterator[None]:
    """Around an act that opens the person's key: notes a wrong passphrase in the audit trail, and refuses
    the right one too after as many as sign-ins may fail, until the oldest is as long ago as a lock lasts.
    Stands outside the act's transaction, which a refusal takes back. Raises SigningRefused."""
    wait: timedelta = settings.AXES_COOLOFF_TIME
    recent = AuditEntry.objects.filter(
        verb=VERB, record_kind=ACCOUNT, record_id=person.pk, at__gt=timezone.now() - wait
    )
    if recent.count() >= settings.AXES_FAILURE_LIMIT:
        raise SigningRefused(
            f"Too many wrong passphrases. Wait {int(wait.total_seconds() // 60)} minutes, then try again; or"
            " have a new certificate made under My certificate, and revoke this one."
        )
    try:
        yield
    except WrongPassphrase:
        append(VERB, ACCOUNT, person.pk, person.username[:120], name_of(person), {})
        raise

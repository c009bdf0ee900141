"""What the audit trail keeps of people: signing in, failing to, accounts, roles and passwords."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_login_failed
from django.dispatch import receiver
from django.utils import timezone

from qualification.models.audit import AuditEntry
from qualification.records.audit import append, name_of
from qualification.records.value_changes import changes_between
from qualification.roles import Person, roles_granted

SIGN_IN, ACCOUNT = "sign-in", "person"
"""What the audit trail calls them."""
NOBODY = "Not signed in"
AT_THE_SERVER = "Whoever runs the server"


def signed_in(person: User) -> None:
    """Note that somebody has signed in."""
    append("sign_in", SIGN_IN, person.pk, person.username[:120], name_of(person), {})


@receiver(user_login_failed)
def sign_in_failed(credentials: dict[str, Any], **kwargs: Any) -> None:
    """Note an attempt that failed, under the name that was typed. Once the name is locked, no more are noted
    until it is free again, so that nobody can fill the trail."""
    name = str(credentials.get("username", ""))[:120]
    recent = AuditEntry.objects.filter(
        record_kind=SIGN_IN,
        record_id=0,
        record_name=name,
        at__gt=timezone.now() - settings.AXES_COOLOFF_TIME,
    )
    if recent.count() < settings.AXES_FAILURE_LIMIT:
        append("sign_in_failed", SIGN_IN, 0, name, NOBODY, {})


def account_of(person: User) -> dict[str, Any]:
    """What of an account is kept in the trail; empty before there is one."""
    stored = User.objects.filter(pk=person.pk).first()
    if stored is None:
        return {}
    return {
        "username": stored.username,
        "first_name": stored.first_name,
        "last_name": stored.last_name,
        "administrator": stored.is_superuser,
        "may_sign_in": stored.is_active,
        "roles": sorted(roles_granted(stored)),
    }


def account_saved(person: User, before: dict[str, Any], by: Person, *, password_set: bool) -> None:
    """Note a new or changed account with old and new values, and a password set by somebody else."""
    changes = changes_between(before, account_of(person))
    if changes:
        data = {"detail": ", ".join(name.replace("_", " ") for name in changes), "changes": changes}
        append("change" if before else "create", ACCOUNT, person.pk, person.username[:120], name_of(by), data)
    if password_set and before:
        append("set_password", ACCOUNT, person.pk, person.username[:120], name_of(by), {})


def second_step_changed(person: User, by: Person | None, *, on: bool, what: str = "") -> None:
    """Note that somebody signs in with a code from now on, or no longer; `by` is the same person or a shop
    administrator, `None` whoever sits at the server."""
    verb, actor = "second_step" if on else "second_step_off", name_of(by) if by else AT_THE_SERVER
    append(verb, ACCOUNT, person.pk, person.username[:120], actor, {"detail": what} if what else {})


def own_password_changed(person: User) -> None:
    """Note that somebody has changed the own password."""
    append("change_password", ACCOUNT, person.pk, person.username[:120], name_of(person), {})

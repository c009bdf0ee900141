"""The second step of signing in: a code from an app on the person's phone (RFC 6238), a passkey
(`passkeys.py`), or one of ten recovery codes written down when it was set up, each of which counts once."""

from __future__ import annotations

import math
from base64 import b32encode
from collections.abc import Sequence
from urllib.parse import quote

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone
from django_otp.models import Device
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from qualification.models import Passkey, Shop
from qualification.models.shop import SecondStep
from qualification.roles import may_administer, may_approve

RECOVERY_CODES = 10
NOT_RIGHT = "The code does not match. Enter the six digits the app shows now, or an unused recovery code."
NEEDED = "Enter the six digits from the app on your phone, or one of your recovery codes."
NEEDS_PASSKEY = "Use your passkey, or enter one of your recovery codes."


def app_of(person: User) -> TOTPDevice | None:
    """The app that makes this person's codes, if there is one."""
    return TOTPDevice.objects.filter(user=person, confirmed=True).first()


def has_one(person: User) -> bool:
    """Whether the person has a second step: an app, or a passkey."""
    return app_of(person) is not None or person.passkeys.exists()


def anybody_has_one() -> bool:
    """Whether the sign-in page has to ask for a code at all."""
    return TOTPDevice.objects.filter(confirmed=True).exists() or Passkey.objects.exists()


def is_wanted_of(person: User) -> bool:
    """Whether the shop asks this person to have one."""
    wanted = Shop.current().second_step
    if wanted == SecondStep.APPROVERS:
        return may_approve(person) or may_administer(person)
    return wanted == SecondStep.EVERYBODY


def problem_with(person: User, code: str) -> str:
    """Why somebody does not get in with this code; empty when nothing is wrong or no code is needed. A code
    that is right is used up."""
    if not has_one(person):
        return ""
    app, typed = app_of(person), "".join(code.split()).replace("-", "").lower()
    if not typed:
        return NEEDED if app else NEEDS_PASSKEY
    device = app if app and len(typed) == app.digits and typed.isdecimal() else _recovery(person)
    return _problem(device, typed)


def _problem(device: Device | None, typed: str) -> str:
    if device is None:
        return NOT_RIGHT
    with transaction.atomic():
        # Of two that come at once with the same code, the second finds it used.
        held = type(device).objects.select_for_update().get(pk=device.pk)
        allowed, why_not = held.verify_is_allowed()
        if not allowed:
            wait = (why_not["locked_until"] - timezone.now()).total_seconds()
            return f"Wrong codes were entered before. Wait {max(1, math.ceil(wait))} seconds, then try again."
        return "" if held.verify_token(typed) else NOT_RIGHT


def begin(person: User) -> TOTPDevice:
    """An app that counts once a code of it was entered, in place of one that never did."""
    TOTPDevice.objects.filter(user=person, confirmed=False).delete()
    return TOTPDevice.objects.create(user=person, name="app", confirmed=False)


def begun(person: User) -> TOTPDevice | None:
    """The app that waits for its first code."""
    return TOTPDevice.objects.filter(user=person, confirmed=False).first()


def secret_of(app: TOTPDevice) -> str:
    """What one types into an app that cannot scan, in groups of four."""
    text = b32encode(app.bin_key).decode().rstrip("=")
    return " ".join(text[at : at + 4] for at in range(0, len(text), 4))


def address_for(app: TOTPDevice, shop: str) -> str:
    """The secret as apps scan it, with whose it is and of which shop. The form is in wide use and described
    by the makers of such apps; it is no standard."""
    label = quote(f"{shop}:{app.user.get_username()}")
    return f"otpauth://totp/{label}?secret={secret_of(app).replace(' ', '')}&issuer={quote(shop)}"


def confirm(app: TOTPDevice, code: str) -> str:
    """Let the app count, if the code is one of its own; else why not."""
    typed = "".join(code.split())
    problem = _problem(app, typed) if typed.isascii() and typed.isdecimal() else NOT_RIGHT
    if not problem:
        TOTPDevice.objects.filter(pk=app.pk).update(confirmed=True)
    return problem


def new_recovery_codes(person: User) -> Sequence[str]:
    """Ten codes in place of those there were; the only time they are shown."""
    with transaction.atomic():
        StaticDevice.objects.filter(user=person).delete()
        device = StaticDevice.objects.create(user=person, name="recovery")
        codes = [StaticToken.random_token() for _ in range(RECOVERY_CODES)]
        StaticToken.objects.bulk_create(StaticToken(device=device, token=code) for code in codes)
    return [f"{code[:4]}-{code[4:]}" for code in codes]


def recovery_codes_left(person: User) -> int:
    """How many were not used yet."""
    return StaticToken.objects.filter(device__user=person).count()


def _recovery(person: User) -> StaticDevice | None:
    return StaticDevice.objects.filter(user=person).first()


def take_off(person: User) -> bool:
    """Sign in by password alone again; whether there was anything to take off."""
    with transaction.atomic():
        StaticDevice.objects.filter(user=person).delete()
        keys, _ = person.passkeys.all().delete()
        gone, _ = TOTPDevice.objects.filter(user=person).delete()
    return gone + keys > 0

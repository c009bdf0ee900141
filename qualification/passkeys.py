"""Passkeys as the second step of signing in (WebAuthn, a W3C Recommendation), by the library `webauthn`: what
the browser is asked for, and what it answers. Browsers have them in a secure context alone: HTTPS, or this
machine as localhost; and for a name, never for an address of numbers."""

from __future__ import annotations

import json
import time
from base64 import urlsafe_b64decode, urlsafe_b64encode
from ipaddress import ip_address
from typing import Any

import webauthn
from django.contrib.auth.models import User
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import (
    AuthenticatorSelectionCriteria,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from qualification.models import Passkey, Shop

CHALLENGE = "passkey_challenge"
"""Entry of the session: what the device is to sign, and when it was asked."""
LONGEST_SECONDS = 300
LONGEST_ANSWER = 12_000
"""Characters of what a browser answers; some devices send certificates along."""
MOST = 10
"""Passkeys of one person."""
NOT_HERE = (
    "Passkeys work where this program is opened by its name over HTTPS, or as localhost on the machine it"
    " runs on: browsers offer them nowhere else. Use the code of an app instead."
)
NOT_RIGHT = "The passkey does not match. Try again, or enter a code."


class PasskeyRefused(Exception):
    """The passkey is not taken; the message says why."""


def host_of(request: HttpRequest) -> str:
    """The name of the server, as passkeys are bound to; empty where browsers have none."""
    host = request.get_host().rpartition(":")[0] or request.get_host()
    try:
        ip_address(host.strip("[]"))
    except ValueError:
        return host if request.is_secure() or host == "localhost" else ""
    return ""


def has_one(person: User) -> bool:
    """Whether the person may use one, here or under another name of the server."""
    return person.passkeys.exists()


def asked_to_make(request: HttpRequest, person: User) -> str:
    """What the browser is asked for a new passkey, as JSON. Raises PasskeyRefused."""
    host = _host(request)
    if person.passkeys.count() >= MOST:
        raise PasskeyRefused(f"There are {MOST} passkeys already. Remove one first.")
    options = webauthn.generate_registration_options(
        rp_id=host,
        rp_name=Shop.current().name,
        user_id=str(person.pk).encode(),
        user_name=person.get_username(),
        user_display_name=person.get_full_name() or person.get_username(),
        exclude_credentials=[_descriptor(each) for each in person.passkeys.filter(host=host)],
        authenticator_selection=AuthenticatorSelectionCriteria(
            resident_key=ResidentKeyRequirement.REQUIRED,
            user_verification=UserVerificationRequirement.PREFERRED,
        ),
    )
    _remember(request, options.challenge)
    return webauthn.options_to_json(options)


def make(request: HttpRequest, person: User, answer: str, name: str) -> Passkey:
    """Keep the passkey that the browser made. Raises PasskeyRefused."""
    host, challenge = _host(request), _challenge(request)
    try:
        made = webauthn.verify_registration_response(
            credential=_read(answer),
            expected_challenge=challenge,
            expected_rp_id=host,
            expected_origin=_origin(request),
        )
    except WebAuthnException as error:
        raise PasskeyRefused(NOT_RIGHT) from error
    credential = _text(made.credential_id).rstrip("=")
    with transaction.atomic():
        if Passkey.objects.filter(credential=credential).exists():
            raise PasskeyRefused("This passkey is on file already.")
        return Passkey.objects.create(
            person=person,
            name=name,
            host=host,
            credential=credential,
            public_key=made.credential_public_key,
            sign_count=made.sign_count,
        )


def asked_to_sign(request: HttpRequest) -> str:
    """What the browser is asked at signing in, as JSON; it names nobody. Raises PasskeyRefused."""
    options = webauthn.generate_authentication_options(
        rp_id=_host(request), user_verification=UserVerificationRequirement.PREFERRED
    )
    _remember(request, options.challenge)
    return webauthn.options_to_json(options)


def problem_with(request: HttpRequest, person: User, answer: str) -> str:
    """Why somebody does not get in with what a passkey answered; empty when it is one of theirs."""
    try:
        _verify(request, person, answer)
    except PasskeyRefused as refused:
        return str(refused)
    return ""


def _verify(request: HttpRequest, person: User, answer: str) -> None:
    host, challenge, said = _host(request), _challenge(request), _read(answer)
    with transaction.atomic():
        # Of two that come at once, the second finds the count of the first.
        held = (
            person.passkeys.select_for_update()
            .filter(host=host, credential=str(said.get("id", ""))[:1400])
            .first()
        )
        if held is None:
            raise PasskeyRefused(NOT_RIGHT)
        try:
            found = webauthn.verify_authentication_response(
                credential=said,
                expected_challenge=challenge,
                expected_rp_id=host,
                expected_origin=_origin(request),
                credential_public_key=bytes(held.public_key),
                credential_current_sign_count=held.sign_count,
            )
        except WebAuthnException as error:
            raise PasskeyRefused(NOT_RIGHT) from error
        held.sign_count, held.used_at = found.new_sign_count, timezone.now()
        held.save()


def _host(request: HttpRequest) -> str:
    if not (host := host_of(request)):
        raise PasskeyRefused(NOT_HERE)
    return host


def _origin(request: HttpRequest) -> str:
    return f"{request.scheme}://{request.get_host()}"


def _remember(request: HttpRequest, challenge: bytes) -> None:
    request.session[CHALLENGE] = {"asked": _text(challenge), "at": time.time()}


def _challenge(request: HttpRequest) -> bytes:
    """What was asked last; it counts once, and not for long."""
    kept = request.session.pop(CHALLENGE, None)
    if kept is None or time.time() - kept["at"] > LONGEST_SECONDS:
        raise PasskeyRefused("That took too long. Use the passkey once more.")
    return urlsafe_b64decode(kept["asked"])


def _read(answer: str) -> dict[str, Any]:
    try:
        said = json.loads(answer)
    except (ValueError, RecursionError):
        said = None
    if not isinstance(said, dict):
        raise PasskeyRefused(NOT_RIGHT)
    return said


def _descriptor(passkey: Passkey) -> PublicKeyCredentialDescriptor:
    padded = passkey.credential + "=" * (-len(passkey.credential) % 4)
    return PublicKeyCredentialDescriptor(id=urlsafe_b64decode(padded))


def _text(raw: bytes) -> str:
    """Base64url; the id of a credential stands without padding, as browsers name it."""
    return urlsafe_b64encode(raw).decode()

"""The address at which the first shop administrator is made, while a database has no people.

Whoever can read the terminal the program was started in, or the shop's data, may know the address; a visitor
of the server cannot guess it, since it is signed with the shop's secret key.
"""

from __future__ import annotations

from django.contrib.auth.models import User
from django.core.signing import BadSignature, Signer
from django.urls import reverse

SUBJECT = "first shop administrator"


def nobody_yet() -> bool:
    """True while no person has ever been entered."""
    return not User.objects.exists()


def first_address() -> str:
    """Path of the page, with its code."""
    return reverse("first_person", args=[Signer(salt=SUBJECT).signature(SUBJECT)])


def is_right_code(code: str) -> bool:
    """True for the code of this shop's address."""
    try:
        Signer(salt=SUBJECT).unsign(f"{SUBJECT}:{code}")
    except BadSignature:
        return False
    return True

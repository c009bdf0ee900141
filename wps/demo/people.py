"""The invented people of the demo shop, and who of them still has the password that everybody knows."""

from __future__ import annotations

from functools import lru_cache

from django.contrib.auth.hashers import check_password
from django.contrib.auth.models import User

from qualification.roles import APPROVER, AUTHOR, READER

PASSWORD = "show-me-the-shop"

# sign-in name, first name, last name, roles, shop administrator
PEOPLE: tuple[tuple[str, str, str, tuple[str, ...], bool], ...] = (
    ("maren", "Maren", "Oosting", (AUTHOR,), False),
    ("tobias", "Tobias", "Quell", (APPROVER,), False),
    ("ilse", "Ilse", "Varga", (READER,), False),
    ("hedda", "Hedda", "Brandsma", (), True),
)


def standing_sign_ins() -> list[str]:
    """Names of those who can still sign in with the demo password."""
    present = User.objects.filter(username__in=[name for name, *_ in PEOPLE], is_active=True)
    by_name = {person.username: person for person in present}
    return [name for name, *_ in PEOPLE if name in by_name and _is_of_demo(by_name[name].password)]


@lru_cache(maxsize=32)
def _is_of_demo(stored: str) -> bool:
    """Asked of each stored hash once: it is made to take long, and Today asks each time."""
    return check_password(PASSWORD, stored)

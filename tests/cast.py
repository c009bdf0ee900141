"""The invented shop and its people."""

from __future__ import annotations

from django.contrib.auth.models import User

from qualification.models import Shop
from qualification.roles import APPROVER, AUTHOR, grant_roles

PASSWORD = "a gangway of eleven metres"


def shop() -> Shop:
    made = Shop(
        pk=Shop.ONLY_ID,
        name="Tidewater Gangway Works",
        address="14 Slipway Lane\nPort Ellery",
        responsible_person="Tobias Quell",
    )
    made.save()
    return made


def person(username: str, first: str, last: str, *roles: str, is_superuser: bool = False) -> User:
    made = User(username=username, first_name=first, last_name=last, is_superuser=is_superuser)
    made.set_unusable_password()
    made.save()
    grant_roles(made, roles)
    return made


def with_password(somebody: User) -> User:
    """The same person, who can sign in with `PASSWORD` from now on."""
    somebody.set_password(PASSWORD)
    somebody.save()
    return somebody


def author() -> User:
    return person("maren", "Maren", "Oosting", AUTHOR)


def approver() -> User:
    return person("tobias", "Tobias", "Quell", APPROVER)

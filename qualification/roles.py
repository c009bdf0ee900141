"""Who may do what. The three roles are Django groups; a shop administrator (superuser) may do all three."""

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any, TypeVar, cast

from django.contrib.auth import get_user_model
from django.contrib.auth.models import AnonymousUser, Group, User
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render

AUTHOR = "author"
APPROVER = "approver"
READER = "reader"
ALL_ROLES = (AUTHOR, APPROVER, READER)
ADMINISTRATOR = "administrator"

Person = User | AnonymousUser
View = TypeVar("View", bound=Callable[..., HttpResponseBase])


class SignedInRequest(HttpRequest):
    """What a view behind a guard below is asked: somebody is signed in."""

    user: User


WHAT_A_ROLE_DOES = {
    AUTHOR: "write procedures and record tests",
    APPROVER: "approve records and change the shop's settings",
    READER: "read the shop's records",
    ADMINISTRATOR: "add people and grant roles",
}


def roles_of(person: Person) -> frozenset[str]:
    """Return the roles held, read once per request and person; an inactive person holds none."""
    if not person.is_authenticated or not person.is_active:
        return frozenset()
    if person.is_superuser:
        return frozenset(ALL_ROLES)
    held: frozenset[str] | None = getattr(person, "_roles", None)
    if held is None:
        held = roles_granted(person)
        setattr(person, "_roles", held)  # noqa: B010 - a user of Django's knows no such attribute
    return held


def roles_granted(person: Person) -> frozenset[str]:
    """Return the roles granted to the person by name, without those an administrator has anyway."""
    return frozenset(group.name for group in person.groups.all() if group.name in ALL_ROLES)


def grant_roles(person: User, roles: Iterable[str]) -> None:
    """Make `roles` the person's roles; other groups are left alone."""
    groups = [Group.objects.get_or_create(name=role)[0] for role in ALL_ROLES]
    wanted = set(roles)
    person.groups.remove(*(group for group in groups if group.name not in wanted))
    person.groups.add(*(group for group in groups if group.name in wanted))


def may_author(person: Person) -> bool:
    """True for those who write procedures and record tests."""
    return AUTHOR in roles_of(person)


def may_approve(person: Person) -> bool:
    """True for those who approve records. The own revision is the workflow's question, not this one."""
    return APPROVER in roles_of(person)


def may_read(person: Person) -> bool:
    """True for anyone with a role: who writes or approves also reads."""
    return bool(roles_of(person))


def names_with(role: str) -> list[str]:
    """Names of the active people who hold the role, shop administrators last; of administrators alone for
    `ADMINISTRATOR`."""
    active = get_user_model().objects.filter(is_active=True).order_by("last_name", "first_name")
    holders = [] if role == ADMINISTRATOR else list(active.filter(groups__name=role, is_superuser=False))
    return [
        each.get_full_name() or each.get_username() for each in (*holders, *active.filter(is_superuser=True))
    ]


def who_grants() -> str:
    """Who gives a role, and where, in one sentence."""
    names = names_with(ADMINISTRATOR)
    who = f"{listed(names)}, shop administrator," if names else "A shop administrator"
    return f"{who} grants it under Shop, People."


def who_holds(role: str, but: Person | None = None) -> str:
    """`Tobias Quell or Hedda Brandsma`: who can do what takes the role, besides that person."""
    own = but.get_full_name() if but is not None and but.is_authenticated else ""
    return listed([name for name in names_with(role) if name != own])


def listed(names: list[str]) -> str:
    """`A`, `A or B`, `A, B or C`; beyond five names the first four and how many more."""
    if len(names) > 5:
        names = [*names[:4], f"{len(names) - 4} more"]
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def may_administer(person: Person) -> bool:
    """True for a shop administrator, who adds people and grants roles."""
    return bool(person.is_authenticated and person.is_active and person.is_superuser)


def _guard(allowed: Callable[[Person], bool], role: str) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not allowed(request.user):
                return needs_role(request, role)
            return view(request, *args, **kwargs)

        return cast(View, guarded)

    return decorate


def needs_role(request: HttpRequest, role: str) -> HttpResponse:
    """Return the 403 page that names the missing role and who can grant it."""
    context = {
        "role": role,
        "who_grants": who_grants(),
        "role_does": WHAT_A_ROLE_DOES[role],
        "held": sorted(roles_of(request.user)),
    }
    return render(request, "needs_role.html", context, status=403)


author_required = _guard(may_author, AUTHOR)
approver_required = _guard(may_approve, APPROVER)
reader_required = _guard(may_read, READER)
administrator_required = _guard(may_administer, ADMINISTRATOR)

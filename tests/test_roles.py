"""The three roles and who has them."""

from importlib import import_module

from django.apps import apps
from django.contrib.auth.models import AnonymousUser, Group, User
from django.db import connection

from qualification.roles import (
    ALL_ROLES,
    grant_roles,
    may_administer,
    may_approve,
    may_author,
    may_read,
    roles_granted,
)


def rights(person: User | AnonymousUser) -> tuple[bool, bool, bool, bool]:
    return may_author(person), may_approve(person), may_read(person), may_administer(person)


def test_each_role_has_its_rights(author: User, approver: User, reader: User, administrator: User) -> None:
    assert rights(author) == (True, False, True, False)
    assert rights(approver) == (False, True, True, False)
    assert rights(reader) == (False, False, True, False)
    assert rights(administrator) == (True, True, True, True)


def test_without_a_role_there_are_no_rights(outsider: User, author: User, administrator: User) -> None:
    for person in (author, administrator):
        person.is_active = False
    for person in (outsider, author, administrator, AnonymousUser()):
        assert rights(person) == (False, False, False, False)


def test_the_roles_exist_from_the_first_migration(db: None) -> None:
    # Called by hand: a browser test on the same database may have emptied it since it was migrated.
    Group.objects.all().delete()
    import_module("qualification.migrations.0002_roles").create_roles(apps, connection.schema_editor())
    assert set(Group.objects.values_list("name", flat=True)) == set(ALL_ROLES)


def test_granting_replaces_roles_and_leaves_other_groups(author: User) -> None:
    author.groups.add(Group.objects.create(name="first aid"))
    grant_roles(author, ["approver", "reader"])
    assert roles_granted(author) == {"approver", "reader"}
    assert author.groups.filter(name="first aid").exists()

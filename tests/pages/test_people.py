"""The people page, where a shop administrator grants roles."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertRedirects

from qualification.models import PasswordDue
from qualification.roles import roles_granted
from qualification.views import people

NEW = {
    "first_name": "Joren",
    "last_name": "Tack",
    "username": "joren",
    "password": "thirty-two stanchions",
    "roles": ["author", "reader"],
    "is_active": "on",
}


def test_an_administrator_adds_a_person_who_can_sign_in(administrator_client: Client, client: Client) -> None:
    answer = administrator_client.post(reverse("person_add"), NEW, follow=True)
    assertContains(answer, "Joren Tack is saved.")
    assertContains(answer, "author, reader")
    assert roles_granted(User.objects.get(username="joren")) == {"author", "reader"}
    client.post(reverse("sign_in"), {"username": "joren", "password": NEW["password"]})
    assert "_auth_user_id" in client.session


def test_a_password_set_by_somebody_else_is_changed_before_anything_else(
    administrator_client: Client, administrator: User, client: Client
) -> None:
    administrator_client.post(reverse("person_add"), NEW)

    def sign_in(password: str) -> str:
        client.logout()
        client.post(reverse("sign_in"), {"username": "joren", "password": password})
        return client.get("/").headers.get("Location", "")

    change = reverse("change_password")
    assert sign_in(NEW["password"]) == change
    assert client.post(reverse("job_new"), {}).headers["Location"] == change
    assertContains(client.get(change), "Somebody else set your password")
    entries = {
        "old_password": NEW["password"],
        "new_password1": NEW["password"],
        "new_password2": NEW["password"],
    }
    assertContains(client.post(change, entries), "New password is the current one.")
    entries |= {"new_password1": "forty-one cleats", "new_password2": "forty-one cleats"}
    assertRedirects(client.post(change, entries), "/")
    assert sign_in("forty-one cleats") == ""
    # A new one by an administrator has to be changed again; one's own has not.
    joren = User.objects.get(username="joren")
    administrator_client.post(reverse("person_edit", args=[joren.pk]), NEW)
    assert sign_in(NEW["password"]) == change
    own = {
        "first_name": "Hedda",
        "last_name": "Brandsma",
        "username": "hedda",
        "password": "sixty hatch covers",
        "is_superuser": "on",
        "is_active": "on",
    }
    administrator_client.post(reverse("person_edit", args=[administrator.pk]), own)
    assert not PasswordDue.objects.filter(person=administrator).exists()


def test_of_two_administrators_who_depose_each_other_at_once_one_stays(
    administrator_client: Client, administrator: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one's request ends between the check of the role and the saving."""
    other = User.objects.create_superuser("joren", first_name="Joren", last_name="Tack")
    valid = people.PersonForm.is_valid

    def meanwhile(form: people.PersonForm) -> bool:
        User.objects.filter(pk=administrator.pk).update(is_superuser=False)
        return valid(form)

    monkeypatch.setattr(people.PersonForm, "is_valid", meanwhile)
    entries = {**NEW, "password": "", "roles": []}
    assert administrator_client.post(reverse("person_edit", args=[other.pk]), entries).status_code == 403
    other.refresh_from_db()
    assert other.is_superuser


def test_a_role_is_taken_away_and_the_password_stays(administrator_client: Client) -> None:
    administrator_client.post(reverse("person_add"), NEW)
    joren = User.objects.get(username="joren")
    changed = {**NEW, "roles": ["reader"], "password": ""}
    assertRedirects(
        administrator_client.post(reverse("person_edit", args=[joren.pk]), changed), reverse("people")
    )
    joren = User.objects.get(username="joren")
    assert roles_granted(joren) == {"reader"}
    assert joren.check_password(NEW["password"])


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"first_name": ""}, "Enter the first name."),
        ({"username": "joren tack"}, "Sign-in name has a character that cannot be used."),
        ({"username": "HEDDA"}, "Sign-in name HEDDA is taken. Choose another."),
        ({"password": ""}, "Enter a first password for this person."),
        ({"password": "12345678901"}, "This password is entirely numeric."),
        ({"roles": ["owner"]}, "Roles has no “owner”. Tick one of those listed."),
    ],
)
def test_bad_entries_are_said_and_nobody_is_added(
    administrator_client: Client, change: dict[str, object], sentence: str
) -> None:
    answer = administrator_client.post(reverse("person_add"), {**NEW, **change})
    assertContains(answer, sentence, count=2)
    assertContains(answer, 'value="Tack"')
    assert User.objects.count() == 1


def test_administrators_do_not_lock_themselves_out(administrator_client: Client, administrator: User) -> None:
    form = {"first_name": "Hedda", "last_name": "Brandsma", "username": "hedda", "password": ""}
    answer = administrator_client.post(reverse("person_edit", args=[administrator.pk]), form)
    assertContains(answer, "Shop administrator is switched off for yourself.", count=2)
    assertContains(answer, "May sign in is switched off for yourself.", count=2)
    administrator.refresh_from_db()
    assert administrator.is_superuser


def test_only_an_administrator_grants_roles(approver_client: Client) -> None:
    for address in (reverse("people"), reverse("person_add")):
        answer = approver_client.get(address)
        assertContains(answer, "<strong>shop administrator</strong>", status_code=403)

"""Signing in, signing out and changing the own password."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

PASSWORD = "a gangway of eleven metres"


@pytest.fixture
def maren(author: User) -> User:
    author.set_password(PASSWORD)
    author.save()
    return author


def test_a_visitor_is_sent_to_the_sign_in_page_and_back(client: Client, maren: User) -> None:
    asked = reverse("change_password")
    answer = client.get(asked)
    assertRedirects(answer, f"{reverse('sign_in')}?next={asked}")
    answer = client.post(answer.url, {"username": "maren", "password": PASSWORD, "next": asked})
    assertRedirects(answer, asked)


def test_a_wrong_password_is_said_and_the_name_is_kept(client: Client, maren: User) -> None:
    answer = client.post(reverse("sign_in"), {"username": "maren", "password": "something else"})
    assertContains(answer, "There is a problem")
    assertContains(answer, "Sign-in name and password do not belong together.")
    assertContains(answer, 'value="maren"')
    assertNotContains(answer, "something else")


def test_both_empty_fields_are_named_in_the_summary_and_beside_the_field(client: Client, db: None) -> None:
    answer = client.post(reverse("sign_in"), {"username": "", "password": ""})
    assertContains(answer, '<a href="#id_username">Enter your sign-in name.</a>', html=True)
    assertContains(answer, '<a href="#id_password">Enter your password.</a>', html=True)
    assertContains(answer, "Enter your sign-in name.", count=2)
    assertContains(answer, "<title>Error: Sign in")


def test_someone_switched_off_cannot_sign_in(client: Client, maren: User) -> None:
    maren.is_active = False
    maren.save()
    answer = client.post(reverse("sign_in"), {"username": "maren", "password": PASSWORD})
    assertContains(answer, "There is a problem")
    assert "_auth_user_id" not in client.session


def test_signing_in_leads_nowhere_outside(client: Client, maren: User) -> None:
    answer = client.post(
        reverse("sign_in"), {"username": "maren", "password": PASSWORD, "next": "https://elsewhere.example/"}
    )
    assertRedirects(answer, reverse("today"))


def test_signing_out_needs_the_button(author_client: Client) -> None:
    assert author_client.get(reverse("sign_out")).status_code == 405
    assertRedirects(author_client.post(reverse("sign_out")), reverse("sign_in"))
    assertRedirects(author_client.get("/"), f"{reverse('sign_in')}?next=/")


def test_the_own_password_is_changed(client: Client, maren: User) -> None:
    client.force_login(maren)
    new = "twelve handrail posts"
    answer = client.post(
        reverse("change_password"),
        {"old_password": PASSWORD, "new_password1": new, "new_password2": new},
        follow=True,
    )
    assertContains(answer, "Your password is changed.")
    assert User.objects.get(pk=maren.pk).check_password(new)


def test_a_password_change_says_what_is_wrong(client: Client, maren: User) -> None:
    client.force_login(maren)
    answer = client.post(
        reverse("change_password"),
        {"old_password": "no", "new_password1": "first one", "new_password2": "other one"},
    )
    assertContains(answer, "Current password does not match.")
    assertContains(answer, "New password and its repeat differ.")


def test_new_passwords_are_kept_with_argon2(maren: User) -> None:
    assert maren.password.startswith("argon2")

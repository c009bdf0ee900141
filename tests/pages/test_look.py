"""The look of the screens, chosen per person and device."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains


@pytest.mark.parametrize(
    ("chosen", "sheet", "media"),
    [
        ("dark", "look-dark.css", "screen"),
        ("contrast", "look-contrast.css", "screen"),
        ("sun", "look-sun.css", "screen"),
        ("", "look-dark.css", "screen and (prefers-color-scheme: dark)"),
    ],
)
def test_a_look_is_chosen_and_kept(chosen: str, sheet: str, media: str, reader_client: Client) -> None:
    answer = reader_client.post(reverse("look"), {"look": chosen}, follow=True)
    assertContains(answer, "is set on this device")
    page = reader_client.get(reverse("today"))
    assertContains(page, f'css/{sheet}" media="{media}"')


def test_light_is_light_whatever_the_system_says_and_nonsense_changes_nothing(reader_client: Client) -> None:
    reader_client.post(reverse("look"), {"look": "light"})
    reader_client.post(reverse("look"), {"look": "plaid"})
    assertNotContains(reader_client.get(reverse("today")), "look-dark.css")
    reader_client.cookies["look"] = "plaid"
    assertContains(reader_client.get(reverse("today")), "(prefers-color-scheme: dark)")

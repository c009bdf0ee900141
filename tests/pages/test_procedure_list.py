"""The list of procedures."""

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from qualification.models import State
from tests.shop_records import procedure_test, spec


def test_it_lists_revisions_in_force_and_those_being_written(reader_client: Client, author: User) -> None:
    test = procedure_test(author)
    first = spec(author, test, state=State.APPROVED)
    spec(author, test, revision=1)
    spec(author, test, number="W-090", state=State.WITHDRAWN)
    answer = reader_client.get(reverse("procedure_list"))
    assertContains(
        answer, f'<a href="{first.get_absolute_url()}"><span class="mono">W-101</span> rev 0</a>', html=True
    )
    assertContains(answer, "rev 1")
    assertContains(answer, "GMAW, Pulsed spray, ER5356; Groove, 6061, 1/8 to 1/2 in (3.18 to 12.7 mm)")
    assertNotContains(answer, "W-090")


def test_it_finds_by_words_and_by_state(reader_client: Client, author: User) -> None:
    spec(author, number="W-101", title="Gangway deck")
    spec(author, number="W-102", title="Handrail", customer="Port Ellery")
    spec(author, number="W-103", state=State.WITHDRAWN)
    url = reverse("procedure_list")
    found = reader_client.get(url, {"q": "ellery handrail"})
    assertContains(found, "W-102")
    assertNotContains(found, "W-101")
    withdrawn = reader_client.get(url, {"state": "withdrawn"})
    assertContains(withdrawn, "W-103")
    assertNotContains(withdrawn, "W-102")
    assertContains(reader_client.get(url, {"q": "nothing like it"}), "No procedure fits.")
    assertContains(reader_client.get(url, {"state": "made up"}), "W-102")


def test_an_empty_list_says_so_and_offers_the_first_step_to_authors_only(
    reader_client: Client, author_client: Client
) -> None:
    url = reverse("procedure_list")
    assertContains(author_client.get(url), "Write the first one")
    answer = reader_client.get(url)
    assertContains(answer, "There is no procedure yet.")
    assertNotContains(answer, reverse("procedure_new"))


def test_visitors_and_people_without_a_role_see_nothing(client: Client, outsider: User) -> None:
    url = reverse("procedure_list")
    assertRedirects(client.get(url), f"{reverse('sign_in')}?next={url}")
    client.force_login(outsider)
    assert client.get(url).status_code == 403

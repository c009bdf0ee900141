"""The worked examples of an edition as a page of the help."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from qualification.rules.editions.loader import edition


def test_each_example_is_shown_with_its_page_and_answer(reader_client: Client) -> None:
    url = reverse("examples", args=["aws_d1_1_2020"])
    assertContains(reader_client.get(reverse("help")), f'href="{url}"')
    answer = reader_client.get(url)
    assertContains(answer, "A welder on plate of 3/8 in")
    assertContains(answer, "1/8 to 3/4 in (3.18 to 19.05 mm)")
    assertContains(answer, "Not covered")
    assertContains(answer, edition("aws_d1_1_2020").sources["P26"].title)
    assertContains(reader_client.get(reverse("code_tables"), {"edition": "aws_d1_1_2020"}), url)


def test_what_we_worked_ourselves_says_so_and_on_what_it_rests(reader_client: Client) -> None:
    answer = reader_client.get(reverse("examples", args=["aws_d1_2_2014"]))
    assertContains(answer, "Worked by us from the rows of this edition", count=5)
    assertNotContains(answer, "Answered on:")
    assertContains(answer, "3 Part C, Table 3.4</span>, unverified")
    both = reader_client.get(reverse("examples", args=["iso_9606_1_2012"]))
    assertContains(both, "Answered on:", count=4)
    assertContains(both, "5.4</span>, public source")


def test_an_edition_without_examples_says_so(reader_client: Client) -> None:
    assertContains(
        reader_client.get(reverse("examples", args=["csa_w47_2_2011"])), "No worked example is here"
    )
    assert reader_client.get(reverse("examples", args=["no_such_code"])).status_code == 404

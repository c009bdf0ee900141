"""Arithmetic on the pages where a person decides."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import Shop
from tests.shop_records import procedure_test


def test_a_test_shows_what_its_specimens_say(author: User, reader_client: Client, shop: Shop) -> None:
    html = reader_client.get(procedure_test(author).get_absolute_url()).content.decode()
    assert "Arithmetic" in html
    # 5600 lbf over 3/4 x 1/4 in is 29.9 ksi, of the 24 ksi of 6061; 1/8 in over 2 1/16 in is 5.7 %
    assert "29.9 ksi" in html
    assert "124.4\u202f%" in html
    assert "5.7\u202f%" in html


def test_a_steel_leads_to_its_preheat_with_what_is_stated(
    author: User, reader_client: Client, shop: Shop
) -> None:
    joint = {"base_metal_a": "SA-36", "base_metal_b": "SA-36", "temper_a": "", "thickness_a": "1/2"}
    html = reader_client.get(procedure_test(author, joint=joint).get_absolute_url()).content.decode()
    assert reverse("steel_arithmetic") + "?units=us&amp;thickness=1%2F2+in" in html


def test_the_steel_page_works_out_and_refuses(reader_client: Client, shop: Shop) -> None:
    address = reverse("steel_arithmetic")
    asked = address + "?C=0.18&Mn=1.2&Cr=0.2&Mo=0.1&V=0&Ni=0.15&Cu=0.2&units=si"
    assert "0.463\u202f%" in reader_client.get(asked).content.decode()
    html = reader_client.get(address + "?C=much&thickness=wide&hydrogen=0").content.decode()
    for words in ("C: enter a number", "Thickness: ", "Diffusible hydrogen: enter a number"):
        assert words in html

"""Advice in the editor of a procedure: one click puts it in, and it stays marked until somebody confirms."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from qualification.models import Origin, Shop
from qualification.records.advice_taken import advice_in
from tests.pages.test_procedure_edit import page_of
from tests.shop_records import spec
from wps.models import Spec

OPEN = {"travel_speed": "", "filler_classification": ""}


def take(client: Client, made: Spec) -> Spec:
    data = page_of(made, line=OPEN, number=made.number, do="advice:0:filler_classification:ER5356")
    client.post(reverse("procedure_edit", args=[made.pk]), data)
    return Spec.objects.get(pk=made.pk)


def test_one_click_puts_the_value_in_and_marks_it(author: User, author_client: Client, shop: Shop) -> None:
    made = spec(author)
    html = author_client.post(
        reverse("procedure_check", args=[made.pk]), page_of(made, line=OPEN, number=made.number)
    ).content.decode()
    assert "Advice for what is not stated" in html
    assert 'value="advice:0:filler_classification:ER5356"' in html
    kept = take(author_client, made)
    assert kept.lines[0]["filler_classification"] in ("ER5356", ["ER5356"])
    page = author_client.get(kept.get_absolute_url()).content.decode()
    assert "Advice, not confirmed" in page
    assert "Numbers that came from trials" not in page


def test_the_arithmetic_stands_beside_the_editor(author: User, author_client: Client, shop: Shop) -> None:
    made = spec(author)
    line = {"wire_feed": "430", "filler_classification": "ER5356", "filler_diameter": "3/64"}
    html = author_client.post(
        reverse("procedure_check", args=[made.pk]), page_of(made, line=line, number=made.number)
    ).content.decode()
    assert "Current this feed usually draws" in html


def test_it_is_marked_until_confirmed_or_changed(author: User, author_client: Client, shop: Shop) -> None:
    kept = take(author_client, spec(author))
    (taken,) = advice_in(kept)
    assert taken.confirmed == ""
    author_client.post(reverse("procedure_advice", args=[kept.pk]), {"origin": taken.origin.pk})
    (confirmed,) = advice_in(kept)
    assert confirmed.confirmed == "Maren Oosting"
    author_client.post(reverse("procedure_advice", args=[kept.pk]), {"origin": taken.origin.pk})
    assert Origin.objects.count() == 2
    kept.lines[0]["filler_classification"] = "ER5183"
    assert advice_in(kept) == []


def test_a_button_of_an_answer_that_is_gone_saves_what_was_typed(
    author: User, author_client: Client, shop: Shop
) -> None:
    made = spec(author)
    data = page_of(made, line=OPEN, number=made.number, do="advice:0:amps:999 A")
    author_client.post(reverse("procedure_edit", args=[made.pk]), data)
    assert "999" not in str(Spec.objects.get(pk=made.pk).lines)
    assert not Origin.objects.exists()


def test_a_reader_confirms_nothing(
    author: User, author_client: Client, reader_client: Client, shop: Shop
) -> None:
    kept = take(author_client, spec(author))
    (taken,) = advice_in(kept)
    answer = reader_client.post(reverse("procedure_advice", args=[kept.pk]), {"origin": taken.origin.pk})
    assert answer.status_code == 403
    assert "Confirm" not in reader_client.get(kept.get_absolute_url()).content.decode()

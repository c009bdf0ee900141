"""The page of a procedure and its document say the same things, from one content."""

import html
import re

from django.contrib.auth.models import User
from django.test import Client

from qualification.models import Shop
from qualification.models.shop import UnitOrder
from tests.shop_records import procedure_test, spec
from wps.documents.context import content_of, document_context
from wps.documents.rederive import rederive
from wps.documents.render import render_html


def plain(markup: str) -> str:
    """The text of a page, one space between words."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def test_every_finding_and_entry_stands_in_both(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), joint={"thickness_a": "1/8-3/4"}, line={"amps": "plenty"})
    content = content_of(made)
    page = plain(reader_client.get(made.get_absolute_url()).content.decode())
    document = plain(render_html("documents/procedure.html", document_context(content), "letter"))
    said = [content["sentence"], *(test["reference"] for test in content["tests"])]
    for line in content["findings"]:
        for row in line["rows"]:
            if row["binds"]:
                said += [row["label"], row["found"], row["qualified"], row["verdict_words"], row["clause"]]
    for group in content["entered"]:
        said += [text for row in group["rows"] for text in (row["label"], row["words"])]
    assert len(said) > 100
    assert [text for text in said if text not in page] == []
    assert [text for text in said if text not in document] == []


def test_both_draw_the_same_sketch(reader_client: Client, author: User) -> None:
    made = spec(author, procedure_test(author), line={"backing": "metal"})
    drawn = r'<svg[^>]*class="sketch".*?</svg>'
    page = re.search(drawn, reader_client.get(made.get_absolute_url()).content.decode(), re.DOTALL)
    content = content_of(made)
    document = re.search(
        drawn,
        render_html("documents/procedure.html", document_context(content), "letter"),
        re.DOTALL,
    )
    assert page[0] == document[0]
    assert "Metal strip or ring" in page[0]


def test_the_shops_unit_order_holds_on_page_and_paper_whatever_the_record_is_kept_in(
    reader_client: Client, author: User, shop: Shop
) -> None:
    shop.unit_order = UnitOrder.METRIC_FIRST
    shop.save()
    for made, template in ((spec(author, test := procedure_test(author)), "procedure"), (test, "test")):
        content = content_of(made)
        page = plain(reader_client.get(made.get_absolute_url()).content.decode())
        document = plain(render_html(f"documents/{template}.html", document_context(content), "a4"))
        for said in (page, document):
            assert "1.59 to 3.18 mm (1/16 to 1/8 in)" in said or "1.59 mm (1/16 in)" in said
            assert "16 °C (60 °F)" in said
        assert "1/16 in (1.59 mm)" not in document


def test_findings_derive_again_in_the_order_they_were_printed_in(author: User, shop: Shop) -> None:
    test = procedure_test(author)
    content = test.frozen_content()
    shop.unit_order = UnitOrder.METRIC_FIRST
    shop.save()
    assert rederive({"content": content, "evidence": []}).matches
    assert content["shown"] == "us"


def test_a_paper_names_the_terms_of_its_standards(author: User, shop: Shop) -> None:
    content = content_of(procedure_test(author, edition="iso_15614_2_2005"))
    document = plain(render_html("documents/test.html", document_context(content), "a4"))
    for said in (
        "Process (ISO 4063) 131, MIG, solid wire",
        "Position (ISO 6947) PF",
        "Shielding gas (ISO 14175) I1",
        "Group 23.1, from 6061",
    ):
        assert said in document


def test_blank_and_not_applicable_are_told_apart(author: User, shop: Shop) -> None:
    content = content_of(
        spec(
            author,
            procedure_test(author),
            joint={"preheat_maintenance": "n/a", "root_face": ""},
            notes="Keep dry.",
        )
    )
    document = plain(render_html("documents/procedure.html", document_context(content), "letter"))
    assert "Preheat kept after welding Not applicable" in document
    blank = next(group["not_stated"] for group in content["entered"] if group["heading"] == "Joint")
    assert "Root face" in blank
    assert f"Not stated {', '.join(blank)}" in document
    assert "Notes Keep dry." in document

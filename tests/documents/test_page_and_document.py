"""The page of a procedure and its document say the same things, from one content."""

import html
import re
from typing import Any

from django.contrib.auth.models import User
from django.test import Client

from qualification.models import Shop
from qualification.models.shop import UnitOrder
from qualification.records.approving import frozen_content
from tests.shop_records import RESULTS, procedure_test, spec, welder, welder_test
from wps.documents.context import content_of, document_context
from wps.documents.issue import words_of
from wps.documents.rederive import rederive
from wps.documents.render import render_html
from wps.documents.settings_table import SET


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
    rows = [row for group in content["entered"] for row in group["rows"]]
    entered = [text for row in rows for text in (row["label"], row["words"])]
    assert len([*said, *entered]) > 100
    assert [text for text in [*said, *entered] if text not in page and of_both(text) not in page] == []
    printed = [text for row in rows for text in on_the_sheet(row)]
    assert [text for text in [*said, *printed] if text not in document] == []


def of_both(label: str) -> str:
    """The label of a row of the page that says the same of either side."""
    return re.sub(r" of (side [AB]|the thinner side|the thicker side)$", " of both sides", label)


def on_the_sheet(row: dict[str, Any]) -> list[str]:
    """What a sheet prints of an entry: both sides under one label, and settings as bare numbers."""
    label = re.sub(r" of side [AB]$", "", row["label"])
    if row["key"] in SET and row["state"] == "stated":
        return [label, *re.findall(r"[−\d./]*\d", row["words"])]
    return [label, row["words"]]


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
    # The same parts in the same order; on the screen they are larger.
    shapes = r"<(polygon|path|rect|circle)\b|<text[^>]*>([^<]*)<"
    assert re.findall(shapes, page[0])
    assert re.findall(shapes, page[0]) == re.findall(shapes, document[0])
    told = r'aria-label="[^"]*Metal strip or ring[^"]*"'
    assert re.search(told, page[0])[0] == re.search(told, document[0])[0]


def test_the_records_own_units_stand_first_on_page_and_paper_whatever_the_shops_order(
    reader_client: Client, author: User, shop: Shop
) -> None:
    shop.unit_order = UnitOrder.METRIC_FIRST
    shop.save()
    for made, template in ((spec(author, test := procedure_test(author)), "procedure"), (test, "test")):
        content = content_of(made)
        page = plain(reader_client.get(made.get_absolute_url()).content.decode())
        document = plain(render_html(f"documents/{template}.html", document_context(content), "a4"))
        for said in (page, document):
            assert "1/16 to 1/8 in (1.59 to 3.18 mm)" in said or "1/16 in (1.59 mm)" in said
            assert "60 °F (16 °C)" in said
        assert "1.59 mm (1/16 in)" not in document
    shop.unit_order = UnitOrder.INCH_FIRST
    shop.save()
    metric = procedure_test(author, "PT-060", units="si", joint={"root_opening": "2"})
    document = plain(render_html("documents/test.html", document_context(content_of(metric)), "letter"))
    assert "2 mm (0.0787 in)" in document
    assert "0.0787 in (2 mm)" not in document


def test_a_revision_lists_what_it_changed_and_bars_it(author: User, shop: Shop) -> None:
    first = spec(author, procedure_test(author), number="W-120", state="approved")
    later = spec(author, number="W-120", revision=1, joint={"preheat_min": "80"}, line={"cup_size": "3/4"})
    assert content_of(first)["changes"] == []
    changes = content_of(later)["changes"]
    assert ("The joint", "Lowest preheat") in [(each["where"], each["label"]) for each in changes]
    html = render_html("documents/procedure.html", document_context(content_of(later)), "letter")
    assert "Lowest preheat 80 °F" in plain(html).split("Changed since the revision before")[1]
    assert re.search(r'class="[^"]*changed[^"]*"[^>]*>(<th scope="row">)?Lowest preheat', html)
    assert 'class="changed"' not in render_html(
        "documents/procedure.html", document_context(content_of(first)), "letter"
    )


def test_a_revised_test_names_what_changed_beside_its_entries(author: User, shop: Shop) -> None:
    passes = [{"pass": "1", "amps": "150"}, {"pass": "2", "amps": "155"}]
    procedure_test(author, "PT-070", passes=passes)
    results = [{**each, "load": "5700 lbf"} if each["specimen"] == "T1" else each for each in RESULTS]
    later = procedure_test(
        author,
        "PT-070",
        state="draft",
        revision=1,
        results=results[:-1],
        passes=[passes[0], {"pass": "2", "amps": "160"}],
        laboratory="Quay Test House",
        welder=welder("CD", "Cato Dahl"),
    )
    content = content_of(later)
    changes = {each["label"]: (each["before"], each["after"]) for each in content["changes"]}
    assert set(changes) == {"Laboratory", "Welder", "Tension test T1", "Visual examination V1", "Pass 2"}
    assert changes["Laboratory"] == ("Harbour Test House", "Quay Test House")
    assert changes["Welder"] == ("Anouk Berglund, AB", "Cato Dahl, CD")
    assert "5600 lbf" in changes["Tension test T1"][0]
    assert "5700 lbf" in changes["Tension test T1"][1]
    assert changes["Visual examination V1"][1] == "none"
    html = render_html("documents/test.html", document_context(content), "letter")
    said = [plain(each) for each in re.findall(r'class="[^"]*changed"[^>]*>([^<]*)<', html)]
    assert {"Welder", "Laboratory, report", "T1", "2"} <= set(said)
    assert "Witness or examiner" not in said


def test_a_revised_procedure_names_its_other_tests_and_bars_its_head(author: User, shop: Shop) -> None:
    first, second = procedure_test(author, "PT-081"), procedure_test(author, "PT-082")
    spec(author, first, number="W-130", state="approved")
    later = spec(author, first, second, number="W-130", revision=1, customer="Lakeside Yard")
    content = content_of(later)
    changes = {each["label"]: (each["before"], each["after"]) for each in content["changes"]}
    assert changes["Supporting tests"] == ("PT-081 rev 0", "PT-081 rev 0, PT-082 rev 0")
    html = render_html("documents/procedure.html", document_context(content), "letter")
    said = [plain(each) for each in re.findall(r'class="cell-label changed">([^<]*)<', html)]
    assert said == ["Supporting tests", "Customer or project"]


def test_a_revised_certificate_bars_its_entries(author: User, shop: Shop) -> None:
    who = welder()
    welder_test(author, who, "WT-090")
    later = welder_test(
        author, who, "WT-090", state="draft", revision=1, joint={"temper_a": "T4"}, witness="Bo Lind"
    )
    html = render_html("documents/welder.html", document_context(content_of(later)), "letter")
    assert re.search(r'class="run-label changed">Temper or condition', html)
    assert re.search(r'class="run-label changed">\s*Witness or examiner', html)


def test_findings_derive_again_in_the_order_they_were_printed_in(author: User, shop: Shop) -> None:
    test = procedure_test(author)
    content = frozen_content(test)
    shop.unit_order = UnitOrder.METRIC_FIRST
    shop.save()
    assert rederive({"content": content, "evidence": []}).matches
    assert content["shown"] == "us"


def test_a_paper_names_the_terms_of_its_standards(author: User, shop: Shop) -> None:
    record = procedure_test(author, edition="iso_15614_2_2005")
    content = content_of(record)
    document = plain(
        render_html(words_of(record)[0], {**document_context(content), **words_of(record)[1]}, "a4")
    )
    assert content["entered"] == content_of(record)["entered"]  # only the paper changes its words
    assert "Welding procedure qualification record" in words_of(record)[1]["kind_words"]
    for said in (
        "WPQR",
        "Root gap 1/16 in",
        "Parent material",
        "Filler designation",
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
    assert f"Not stated: {'; '.join(blank)}" in document
    assert "Notes Keep dry." in document

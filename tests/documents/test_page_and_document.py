"""The page of a procedure and its document say the same things, from one content."""

import html
import re

from django.contrib.auth.models import User
from django.test import Client

from tests.shop_records import procedure_test, spec
from wps.documents.context import content_of, document_context
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

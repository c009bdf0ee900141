"""No number rests on a page that shares books without leave, or sells forms."""

from __future__ import annotations

import tomllib

import pytest

from qualification.rules.tabular.edition import ROOT, read_sources
from qualification.rules.tabular.schema import TableError
from qualification.rules.tabular.source_hosts import REFUSED, refusal_of


@pytest.mark.parametrize("host", sorted(REFUSED))
def test_a_refused_host_and_its_subdomains_are_named_with_their_kind(host: str) -> None:
    for url in (f"https://{host}/a", f"http://www.{host}/b", f"https://DE.{host.upper()}:443/c"):
        assert refusal_of(url).startswith(f"{host} is {REFUSED[host]}")


@pytest.mark.parametrize(
    "url",
    ["https://notscribd.com/a", "https://scribd.com.example/a", "https://www.hse.gov.uk/welding", "nowhere"],
)
def test_a_host_that_only_looks_alike_is_none_of_them(url: str) -> None:
    assert refusal_of(url) == ""


def test_a_table_that_names_one_is_not_loaded() -> None:
    source = {"key": "X", "title": "A book", "url": "https://www.scribd.com/document/1"}
    with pytest.raises(TableError, match=r"scribd\.com is a document-sharing site"):
        read_sources("asme_ix_2023", {"source": [source]})
    kept = {**source, "url": "https://www.hse.gov.uk/welding"}
    assert "X" in read_sources("asme_ix_2023", {"source": [kept]})


def test_no_file_of_the_tables_names_one() -> None:
    """Shared files bring sources of their own, and pass the same check."""
    named = [
        (path.name, each["key"])
        for path in sorted(ROOT.rglob("*.toml"))
        for each in _sources(tomllib.loads(path.read_text("utf-8")))
        if refusal_of(each["url"])
    ]
    assert named == []


def _sources(body: dict[str, object]) -> list[dict[str, str]]:
    listed = body.get("source", [])
    return (
        [each for each in listed if isinstance(each, dict) and "url" in each]
        if isinstance(listed, list)
        else []
    )

"""The style sheets of papers: each is read once and shared by every paper that links it. Fonts belong to one
paper, which takes them away with it."""

from __future__ import annotations

from functools import lru_cache

from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration

from wps.documents.assets import AssetFetcher, path_of

FONTS = "asset:/css/paper-fonts.css"


def fonts_of_paper() -> FontConfiguration:
    """The bundled fonts, for one paper."""
    fonts = FontConfiguration()
    CSS(url=FONTS, url_fetcher=AssetFetcher(), font_config=fonts)
    return fonts


def linked_by(page: HTML) -> list[CSS]:
    """The style sheets the page links, in their order. Its links are taken out, or each would be read anew.
    Raises AssetError when one cannot be read."""
    found = []
    for head in page.etree_element.iter("head"):
        for link in head.findall("link"):
            if link.get("rel") == "stylesheet":
                found.append(_read(address := link.get("href", ""), path_of(address).stat().st_mtime_ns))
                head.remove(link)
    return found


@lru_cache(maxsize=32)
def _read(address: str, changed_at: int) -> CSS:
    """One style sheet, read anew once its file has changed."""
    return CSS(url=address, url_fetcher=AssetFetcher())

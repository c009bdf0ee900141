"""Pages that were written beforehand, shown in the browser, so that it waits for no reckoning."""

from __future__ import annotations

from urllib.parse import urljoin

from playwright.sync_api import Page


def show(page: Page, path: str, html: str) -> None:
    """Opens the path of the server that the page is on; this HTML is what it answers."""
    address = urljoin(page.url, path)
    page.route(
        lambda url: url == address,
        lambda route: route.fulfill(body=html, content_type="text/html; charset=utf-8"),
    )
    page.goto(address)
    page.evaluate("document.fonts.ready")

"""Looks at every page of the URL table with axe, wide, zoomed, on a phone and in large text, light and dark:
`python -m tests.access`, on a demo shop of its own; `--views 2` looks in the first two ways only,
`--only /jobs/` at addresses that begin so, `--language fr` as a French reader sees them. Text that is cut or
runs over its box is told too."""

from __future__ import annotations

import argparse
import os
import socket
import subprocess
import sys
import tempfile
import urllib.request
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.error import URLError

from tests.access.own_demo import demo_client

if TYPE_CHECKING:
    from django.test import Client
    from playwright.sync_api import Page

    from tests.access.walk import View

ROOT = Path(__file__).parent.parent.parent


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--views", type=int, default=None)
    parser.add_argument("--only", default="", help="addresses that begin so, such as /jobs/")
    parser.add_argument("--language", default="en", choices=["en", "fr", "de"])
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        os.environ |= {"PORT": str(port), "DJANGO_ALLOW_ASYNC_UNSAFE": "true"}
        client = demo_client(Path(folder))
        free.close()
        return _run(client, f"http://127.0.0.1:{port}", chosen)


def _run(client: Client, base: str, chosen: argparse.Namespace) -> int:
    from django.contrib.auth.models import User

    from tests.access.answers import in_language, pages_of
    from tests.access.walk import VIEWS
    from tests.access.whole_shop import one_of_each
    from tests.fuzz.targets import addresses

    known = one_of_each(client, User.objects.get(username="hedda"))
    in_language(client, chosen.language)
    views, only = VIEWS[: chosen.views], chosen.only
    paths = [path for path in pages_of(client, addresses(), known) if path.startswith(only)]
    server = subprocess.Popen([sys.executable, "manage.py", "serve"], cwd=ROOT, stdout=subprocess.DEVNULL)
    try:
        _wait_for(base, server)
        cookies = [{"name": each.key, "value": each.value, "url": base} for each in client.cookies.values()]
        breaches = _look(base, paths, views, cookies)
    finally:
        server.terminate()
        server.wait()
    print(f"{len(paths)} pages, {len(views)} views, breaches: {breaches or 'none'}")
    return 1 if breaches else 0


def _wait_for(base: str, server: subprocess.Popen[bytes]) -> None:
    while server.poll() is None:
        try:
            urllib.request.urlopen(f"{base}/sign-in/", timeout=60).close()
            return
        except (URLError, TimeoutError):
            continue
    raise SystemExit("the server did not start")


def _look(base: str, paths: list[str], views: tuple, cookies: list[Any]) -> int:
    from playwright.sync_api import sync_playwright

    from tests.conftest import CHROMIUM_FLAGS, _chromium

    count = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=_chromium(), args=CHROMIUM_FLAGS)
        for text, of_size in groupby(views, key=lambda view: view.text_percent):
            ways = list(of_size)
            # A change of colors that takes its time would be looked at half-way.
            context = browser.new_context(
                viewport={"width": ways[0].width, "height": 844}, reduced_motion="reduce"
            )
            context.set_default_timeout(120_000)
            context.add_cookies(cookies)
            page = context.new_page()
            # As the browser's own setting does it, so that widths given in the size of text follow.
            sizes = {"standard": 16 * text // 100, "fixed": 13 * text // 100}
            context.new_cdp_session(page).send("Page.setFontSizes", {"fontSizes": sizes})
            for path in paths:
                for view, breach in _in_each_way(page, base + path, ways):
                    count += 1
                    print(f"{path} ({view}): {breach}", flush=True)
            context.close()
        browser.close()
    return count


def _in_each_way(page: Page, address: str, ways: list[View]) -> Iterator[tuple[View, str]]:
    """A page is loaded once for each width, since scripts look at it as they start; dark after light it is
    looked at for its colors alone."""
    from tests.access.clipped import clipped_on
    from tests.access.walk import OF_COLORS, breaches_of

    width = 0
    for view in ways:
        is_same = view.width == width
        page.emulate_media(color_scheme="dark" if view.dark else "light")
        if not is_same:
            page.set_viewport_size({"width": view.width, "height": 844})
            page.goto(address)
            width = view.width
            yield from ((view, each) for each in clipped_on(page))
        for breach in breaches_of(page, rules=OF_COLORS if is_same else ()):
            yield view, breach


if __name__ == "__main__":
    sys.exit(main())

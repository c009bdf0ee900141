"""Opens pages in a browser and tells what keeps somebody from using them: breaches of WCAG 2.2 AA that axe
finds, and pages that scroll sideways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page

AXE = Path(__file__).parent.parent / "vendor" / "axe-4.14.1.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@dataclass(frozen=True)
class View:
    """A way to look at a page: width in CSS pixels, dark or light, and the size of text."""

    width: int
    dark: bool = False
    text_percent: int = 100

    def __str__(self) -> str:
        return f"{self.width} px, {'dark' if self.dark else 'light'}, text at {self.text_percent} %"


VIEWS = tuple(
    View(width, dark, text)
    for width, text in ((1280, 100), (640, 100), (390, 100), (1280, 200))
    for dark in (False, True)
)
"""640 px is a window of 1280 px zoomed to 200 %."""
OF_COLORS = ["color-contrast"]
"""What axe can find anew once only the colors of a page have changed."""


def breaches_of(page: Page, *, rules: Sequence[str] = ()) -> list[str]:
    """What axe finds on the page as it stands, by all rules of WCAG or by some, and whether it scrolls
    sideways."""
    # At the end of the page a bar at its foot stands in its place and covers no control.
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    only = {"type": "rule", "values": list(rules)} if rules else {"type": "tag", "values": TAGS}
    result = page.evaluate(
        "async only => { const {passes, violations} = await axe.run(document, {runOnly: only,"
        " resultTypes: ['violations']}); return {looked: passes.length + violations.length, violations}; }",
        only,
    )
    assert result["looked"], "axe looked at nothing"
    found = [
        f"{each['id']}: {each['help']}: {[node['html'] for node in each['nodes']]}"
        for each in result["violations"]
    ]
    width = page.viewport_size["width"]
    wide = page.evaluate("document.documentElement.scrollWidth")
    return [*found, *([f"the page scrolls sideways: {wide} of {width} px"] if wide > width else [])]

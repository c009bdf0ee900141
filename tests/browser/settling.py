"""Waits for what a page comes to. Playwright's own `wait_for_function` lets the page evaluate a text, which
the page's content security policy refuses at every look but the first."""

from collections.abc import Callable
from typing import TypeVar

from playwright.sync_api import Error, Page

Answer = TypeVar("Answer")


def settled(
    page: Page,
    look: Callable[[], Answer],
    good: Callable[[Answer], bool],
    looks: int = 400,
    between_ms: int = 50,
) -> Answer:
    """The first good answer of `look`, or the last of so many looks. A page that is being left while it is
    looked at has given no answer yet; if it never gives one, its error is raised."""
    for left in range(looks - 1, -1, -1):
        try:
            answer = look()
        except Error:
            if not left:
                raise
        else:
            if good(answer) or not left:
                return answer
        page.wait_for_timeout(between_ms)
    raise AssertionError("never reached")

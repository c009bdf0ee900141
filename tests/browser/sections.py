"""The sections of a long form, of which a phone shows one at a time."""

from playwright.sync_api import Locator, Page

NARROW = 640


def in_section_of(field: Locator) -> Locator:
    """The field, once a person on a phone has chosen its section; a wide sheet shows every section."""
    page = field.page
    if page.viewport_size["width"] <= NARROW:
        go_to_section(
            page, field.evaluate("field => field.closest('.group--stacked, .group--entries').dataset.part")
        )
    return field


def go_to_section(page: Page, name: str) -> None:
    page.locator("#part").select_option(name)

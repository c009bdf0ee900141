"""The sections of a long form, of which a phone shows one at a time."""

from playwright.sync_api import Locator, Page

NARROW = 640


def in_section_of(field: Locator) -> Locator:
    """The field, once a person on a phone has chosen its section; a wide sheet shows every section."""
    page = field.page
    if page.viewport_size["width"] <= NARROW:
        # The script names the sections once the page is there: the name is waited for.
        section = field.locator("xpath=ancestor::*[@data-part][1]")
        go_to_section(page, section.get_attribute("data-part") or "")
    return field


def go_to_section(page: Page, name: str) -> None:
    page.locator("#part").select_option(name)

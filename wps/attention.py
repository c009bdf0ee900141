"""What needs attention, as a list of sources. To add a section, write a source and name it in SOURCES."""

from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse

from qualification.models import Shop
from qualification.roles import Person, may_approve


@dataclass(frozen=True)
class Matter:
    """One line: what waits, where it is mended, and a detail such as a date."""

    what: str
    url: str
    detail: str = ""


@dataclass(frozen=True)
class Section:
    """Matters of one sort, under one heading; `when_none` is the sentence shown when nothing waits."""

    title: str
    when_none: str
    matters: tuple[Matter, ...]


Source = Callable[[Person], Section | None]


def shop_set_up(person: Person) -> Section | None:
    """What is still missing from the letterhead; only for those who can fill it in."""
    if not may_approve(person):
        return None
    shop, url = Shop.current(), reverse("shop")
    gaps = (
        (shop._state.adding, "Describe the shop", "Its name stands at the head of each document."),
        (not shop.address_lines, "Give the shop's address", "It is printed on each document."),
        (
            not shop.responsible_person,
            "Name the responsible welding person",
            "Numbers taken from memory wait for this person's check against the shop's own copy of the code.",
        ),
        (not shop.code_edition, "Choose the code edition", "New records start under this edition."),
    )
    matters = tuple(Matter(what, url, detail) for missing, what, detail in gaps if missing)
    return Section("Shop", "The letterhead is complete.", matters)


SOURCES: list[Source] = [shop_set_up]


def sections_for(person: Person) -> list[Section]:
    """Return the sections this person sees: those with matters first, each group in the order of SOURCES."""
    sections = [section for source in SOURCES if (section := source(person)) is not None]
    return sorted(sections, key=lambda section: not section.matters)

"""The main navigation: one list. An entry shows as soon as its URL name exists and the person may read."""

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse


@dataclass(frozen=True)
class Entry:
    """One entry of the navigation: the words on it, and the URL name it leads to."""

    label: str
    url_name: str
    beside: str = ""
    """URL name of pages that belong to it under an address of their own."""


ENTRIES: tuple[Entry, ...] = (
    Entry("Today", "today"),
    Entry("Procedures", "procedure_list"),
    Entry("Procedure tests", "procedure_test_list"),
    Entry("Welders", "welder_list"),
    Entry("Who may weld", "who_may_weld"),
    Entry("Jobs", "job_list"),
    Entry("Trials", "trial_list"),
    Entry("Packets", "packet_list"),
    Entry("Verify", "verify"),
    Entry("Code tables", "code_tables", beside="own_edition_list"),
    Entry("Shop", "shop"),
)


@dataclass(frozen=True)
class Link:
    """An entry as one page shows it."""

    label: str
    url: str
    is_here: bool
    is_within: bool


def links_for(path: str) -> list[Link]:
    """Return the entries whose page exists; mark the one that `path` is at or below."""
    links = []
    for entry in ENTRIES:
        try:
            url = reverse(entry.url_name)
        except NoReverseMatch:
            continue
        within = path == url if url == "/" else path.startswith(url)
        within |= bool(entry.beside) and path.startswith(reverse(entry.beside))
        links.append(Link(entry.label, url, path == url, within))
    return links

"""Where the upper app tells the pages of evidence what rests on a record, without being imported by them.

The upper app adds a function to `SOURCES` when it starts; each is asked for the links of one record.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from qualification.models import CouponRecord, ProcedureTest, Trial, WelderTest


@dataclass(frozen=True)
class Link:
    """One thing that rests on a record: its name, its page, and a detail such as its state."""

    what: str
    url: str
    detail: str = ""


@dataclass(frozen=True)
class Links:
    """Links of one sort under one heading; `when_none` is the sentence shown when there are none."""

    title: str
    when_none: str
    links: tuple[Link, ...]
    are_papers: bool = False
    """Whether they lead to papers, which a record's page folds together."""


@dataclass(frozen=True)
class Picture:
    """A picture or paper that the upper app keeps of a record: its address, title, and the specimen shown."""

    url: str
    title: str
    specimen: str = ""
    is_document: bool = False


Source = Callable[[CouponRecord], Links | None]

SOURCES: list[Source] = []


EDITION_SOURCES: list[Callable[[str], Links]] = []
"""What the upper app keeps under an edition, by the edition's key."""


def resting_on(edition: str) -> list[Links]:
    """Every record under an edition, by sort."""
    own = [
        _tests(model, title, edition)
        for model, title in ((ProcedureTest, "Procedure tests"), (WelderTest, "Welder tests"))
    ]
    return [*own, *(source(edition) for source in EDITION_SOURCES)]


def _tests(model: type[CouponRecord], title: str, edition: str) -> Links:
    found = model._default_manager.filter(edition=edition)
    return Links(
        title,
        "None.",
        tuple(Link(str(each), each.get_absolute_url(), each.get_state_display()) for each in found),
    )


def links_of(record: CouponRecord) -> list[Links]:
    """What rests on the record, or can be done with it, in the order of `SOURCES`."""
    return [found for source in SOURCES if (found := source(record)) is not None]


@dataclass(frozen=True)
class Action:
    """Something the upper app can make of a record: the words on its button, and the address that takes the
    POST."""

    label: str
    url: str
    what: str
    """One sentence on what comes of it."""


TEST_ACTIONS: list[Callable[[CouponRecord], Action | None]] = []
"""What can be made of a test record."""
TRIAL_ACTIONS: list[Callable[[Trial], Action | None]] = []
TRIAL_SOURCES: list[Callable[[Trial], Links | None]] = []
WINDOW_ACTIONS: list[Callable[[Trial], Action | None]] = []
"""As `SOURCES`: what can be made of a trial, what was made of it, and what can be made of its settings
window."""


def test_actions(record: CouponRecord) -> list[Action]:
    """What the upper app offers to make of a test record."""
    return [found for source in TEST_ACTIONS if (found := source(record)) is not None]


def trial_actions(trial: Trial) -> list[Action]:
    """What the upper app offers to make of the trial."""
    return [found for source in TRIAL_ACTIONS if (found := source(trial)) is not None]


def window_actions(trial: Trial) -> list[Action]:
    """What the upper app offers to make of the settings window around the trial."""
    return [found for source in WINDOW_ACTIONS if (found := source(trial)) is not None]


def trial_links(trial: Trial) -> list[Links]:
    """What was made of the trial."""
    return [found for source in TRIAL_SOURCES if (found := source(trial)) is not None]


WELDER_PAGES: list[Callable[[], Link]] = []
"""Pages about all welders that the upper app has."""


PICTURES: list[Callable[[CouponRecord], list[Picture]]] = []
SCANS: list[Callable[[CouponRecord], list[Picture]]] = []
"""What the upper app keeps of a test record: pictures of its specimens, and the record as it is on paper."""


def kept_of(record: CouponRecord) -> dict[str, Any]:
    """Pictures and scans of a record, for its page and its editor."""
    if not record.pk:
        return {}
    return {
        "pictures": [picture for source in PICTURES for picture in source(record)],
        "scans": [scan for source in SCANS for scan in source(record)],
    }

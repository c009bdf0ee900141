"""The report of a trial: the same sheet as the other documents, but nothing that could be taken for one that
was issued."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from qualification.models import Trial
from qualification.trials.document import trial_document
from wps.documents.entry_values import is_written
from wps.documents.issue import Document, paper_of
from wps.documents.render import render
from wps.documents.waveforms import drawn_waveforms

TEMPLATE, EMBEDDED = "documents/trial.html", "trial.json"
PHOTO_DPI = 220
"""A camera's picture has many times that; the report has to be sent by mail."""


def report_of(trial: Trial, paper: str | None = None) -> Document:
    """The trial's report as it stands now, with its content embedded."""
    content = trial_document(trial)
    made = render(
        TEMPLATE,
        report_context(content),
        content,
        paper or paper_of(content),
        EMBEDDED,
        picture_dpi=PHOTO_DPI,
    )
    name = re.sub(r"[^A-Za-z0-9._-]+", "-", trial.number)
    return Document(made.pdf, f"{name}-trial.pdf")


def report_context(content: Mapping[str, Any]) -> dict[str, Any]:
    """The template's context, from content alone."""
    pages = numbered_pages(content)
    return {
        "content": content,
        "kind_words": "Trial report",
        "reference": content["number"],
        "joint_groups": _groups(content, on_line=False),
        "line_groups": _groups(content, on_line=True),
        "waveforms": drawn_waveforms(content),
        "pages": pages,
        "heat": [_marked(row, pages) for row in content["heat"]],
        "reckoned": [_marked(row, pages) for row in content["reckoned"]],
        "remarks": [_marked(row, pages) for row in content["remarks"]],
        "cautions": [
            {**step, "said": [_marked(row, pages) for row in step["said"]]} for step in content["cautions"]
        ],
    }


def _groups(content: Mapping[str, Any], *, on_line: bool) -> list[Mapping[str, Any]]:
    return [
        {**group, "rows": [{**row, "is_written": is_written(row)} for row in group["rows"]]}
        for group in content["entered"]
        if (group["line"] is not None) is on_line
        and group["heading"] != "Result"
        and (group["rows"] or group["not_stated"])
    ]


def numbered_pages(content: Mapping[str, Any]) -> dict[str, tuple[int, str]]:
    """Public pages that figures and cautions were read on, by address, each with its number in the list."""
    found: dict[str, tuple[int, str]] = {}
    for origin in _origins(content):
        for source in origin["sources"]:
            found.setdefault(source["url"], (len(found) + 1, source["title"]))
    return found


def _origins(content: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    rows: Iterable[Mapping[str, Any]] = (
        *content["heat"],
        *content["reckoned"],
        *content["remarks"],
        *(row for step in content["cautions"] for row in step["said"]),
    )
    for row in rows:
        yield from row["origins"]


def _marked(row: Mapping[str, Any], pages: Mapping[str, tuple[int, str]]) -> dict[str, Any]:
    """With the numbers of its pages, or with words where it rests on none."""
    numbers = sorted({pages[source["url"]][0] for origin in row["origins"] for source in origin["sources"]})
    unconfirmed = [o["words"] for o in row["origins"] if o["provenance"] != "published"]
    marks = [*dict.fromkeys(unconfirmed), *(str(number) for number in numbers)]
    return {**row, "marks": ", ".join(marks)}

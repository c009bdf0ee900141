"""Measured waveforms on paper: of a trial, and of a test whose numbers came from one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from qualification.waveforms.content import drawing_of
from wps.documents.inline import inline


def drawn_waveforms(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The content's waveforms, each with its drawings."""
    return [
        {
            **each,
            "drawings": [
                {
                    "title": plot["title"],
                    "says": plot["says"],
                    "address": inline(drawing_of(plot, each["file"])),
                }
                for plot in each["plots"]
            ],
        }
        for each in content.get("waveforms", [])
    ]

"""The partials of pages, rendered alone in each state that `partials.toml` names."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

DATA = Path(__file__).with_name("partials.toml")
STATIC = Path(__file__).resolve().parent.parent / "static"
STYLES = ("tokens", "sheet", "forms", "records", "evidence", "record-page", "desk", "entries")
PAGE = "gallery/partials.html"
PAGE_NAME = "partials.html"
MESSAGES = (("success", "Marked as seen."), ("info", "Packet P-001 is issued and stays as it is."))
"""What a page says after a step."""
REFUSALS = (
    "The packet is being assembled. Wait until it is done, or start again from the page of the packet.",
    "It was not done: the session ended. Sign in again; what was typed is kept.",
)


def partials() -> Iterator[tuple[str, str, str]]:
    """Template, state and HTML of each."""
    for partial in tomllib.loads(DATA.read_text("utf-8"))["partial"]:
        for state in partial["state"]:
            yield partial["template"], state["name"], render_to_string(partial["template"], state["with"])


def write_page(folder: Path) -> None:
    """One page with all of them, with copies of the program's styles beside it, to open in a browser."""
    for part in ("css", "fonts"):
        shutil.copytree(STATIC / part, folder / "static" / part, dirs_exist_ok=True)
    context: dict[str, Any] = {
        "partials": list(partials()),
        "styles": STYLES,
        "messages": MESSAGES,
        "refusals": REFUSALS,
    }
    (folder / PAGE_NAME).write_text(render_to_string(PAGE, context), "utf-8")

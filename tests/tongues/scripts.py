"""What scripts say: their messages, and the words that they would show without one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.extract import extract_javascript

from tests.tongues.catalogues import SCRIPTS

LITERAL = r"\"(?:[^\"\\\n]|\\.)*\"|`(?:[^`\\]|\\.)*`"
CALLED = r"\(\s*(?:(?:" + LITERAL + r")\s*,?\s*)+"
COMMENT = re.compile(r"(?m:^\s*//[^\n]*$)|\s// [^\n]*|/\*.*?\*/", re.DOTALL)
MESSAGE = re.compile(r"\bn?gettext" + CALLED)
OF_THE_PAGE = re.compile(
    r"\b(?:querySelector(?:All)?|closest|matches|getElementById|addEventListener|Set|Error)"
    + CALLED
    + r"|\bclassName[:=]? = (?:"
    + LITERAL
    + ")"
)
"""What is handed to the browser, and none of which is shown."""
OPTIONS = {"parse_template_string": True}
PLACE = re.compile(r"\$\{[^{}]*\}")
SPOKEN = re.compile(r"(?<![a-zA-Z:])[A-Z][a-z]|[a-z]{2,}[,.:]? [a-z]{2,}|\x00 [a-z]{2,}|[a-z]{2,}:? \x00")
"""A capital and small letters, two words, or a word beside a value."""
NAMES = frozenset(
    (
        "Accept",
        "ArrowDown",
        "ArrowLeft",
        "ArrowRight",
        "ArrowUp",
        "Backspace",
        "Content-Type",
        "Delete",
        "End",
    )
    + ("Enter", "Escape", "Home", "PageDown", "PageUp", "Tab", "NotAllowedError", "X-CSRFToken")
    + ("use strict", "kept \x00 ", "weld log \x00")
)
"""Names of keys, headers and errors, and those under which a device keeps what was typed."""


def scripts() -> list[Path]:
    """Our own, apart from the catalogues that are made."""
    return sorted(path for path in SCRIPTS.glob("*.js") if not path.name.startswith("words."))


def asked_by(script: Path) -> Iterator[str]:
    """Each message of a script by its first form."""
    with script.open("rb") as file:
        for _, _, said, _ in extract_javascript(file, {"gettext": None, "ngettext": (1, 2)}, [], OPTIONS):
            yield said if isinstance(said, str) else said[0]


def shown_bare(text: str) -> Iterator[str]:
    """Words of a script that no message holds."""
    text = OF_THE_PAGE.sub(" ", MESSAGE.sub(" ", COMMENT.sub("", text)))
    for found in re.findall(LITERAL, text):
        words = PLACE.sub("\x00", found[1:-1])
        if words not in NAMES and SPOKEN.search(words):
            yield found[1:-1]

"""Where commands take the passphrase of a locked backup from: a file, or the keyboard; never the command
line, which other accounts of the machine can read."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path

from django.core.management.base import CommandParser

from wps.backups import locked


def add_argument(parser: CommandParser) -> None:
    """The option both commands have."""
    parser.add_argument("--passphrase-file", type=Path, help="file whose first line is the passphrase")


def passphrase_for(file: Path, passphrase_file: Path | None) -> str:
    """The passphrase where the file needs one; asked for where somebody sits at the keyboard."""
    if not (file.is_file() and locked.is_locked(file)):
        return ""
    if passphrase_file is not None:
        return passphrase_file.read_text("utf-8").split("\n")[0].rstrip("\r")
    return getpass.getpass(f"Passphrase of {file.name}: ") if sys.stdin.isatty() else ""

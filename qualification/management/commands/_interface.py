"""What the commands of the machine interface share: a file in, JSON out, exit status 2 on bad input."""

import json
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from qualification.codes.own_tables import PREFIX, published_editions
from qualification.machine_input import read_document
from qualification.rules.editions.loader import beside
from qualification.rules.interface.questions import InputRefused
from qualification.rules.tabular.schema import TableError

BAD_INPUT, NOT_COVERED = 2, 3
"""Exit statuses beside 0. Argparse uses 2 for a wrong command line as well."""
STANDARD_INPUT = "-"


class InterfaceCommand(BaseCommand):
    """A command that prints one JSON document. It needs no database but for an edition of
    the shop's own."""

    requires_system_checks: list[str] = []

    def print_document(self, document: Mapping[str, Any]) -> None:
        """Unicode as it is where the output can hold it, escaped where not."""
        encoding = getattr(self.stdout, "encoding", None) or "utf-8"
        escaped = "utf" not in encoding.lower()
        self.stdout.write(json.dumps(document, ensure_ascii=escaped, indent=2))


class DocumentCommand(InterfaceCommand):
    """A command that reads one input document and answers with another."""

    name = ""
    """Of the document it reads."""

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--every-row",
            action="store_true",
            help="beside the answer every row of the edition: which spoke, and why the others did not",
        )
        parser.add_argument(
            "file", metavar="FILE", help=f"JSON document to read; {STANDARD_INPUT} for standard input"
        )

    def answer(self, file: str, work_out: Callable[[Mapping[str, Any]], dict[str, Any]]) -> dict[str, Any]:
        """What `work_out` makes of the document; exits with BAD_INPUT, file and place when it is refused."""
        try:
            text = _bytes_of(file)
            with beside(published_editions() if PREFIX.encode() in text else {}):
                return work_out(read_document(text, self.name))
        except OSError as error:
            self._refuse(file, [f"cannot be read: {error.strerror}"])
        except InputRefused as refused:
            self._refuse(
                file, [f"{p.where}: {p.message}" if p.where else p.message for p in refused.problems]
            )
        except TableError as error:
            self._refuse(file, [f"the tables of its edition cannot be trusted: {error}"])
        raise AssertionError("a refused document ends the command")

    def _refuse(self, file: str, complaints: list[str]) -> None:
        named = "standard input" if file == STANDARD_INPUT else file
        for complaint in complaints:
            self.stderr.write(f"{named}: {complaint}")
        sys.exit(BAD_INPUT)


def _bytes_of(file: str) -> bytes:
    return sys.stdin.buffer.read() if file == STANDARD_INPUT else Path(file).read_bytes()

"""Checks a PDF on the command line: `manage.py verify FILE [--trust AUTHORITY.pem]`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.documents.checking import FileReport, check_file
from wps.documents.report_words import lines_of
from wps.signing.verify import NotReadable


class Command(BaseCommand):
    help = (
        "Say of a PDF this program issued: intact, signed by whom, trusted here, added to, current, findings"
        " derived again."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)
        parser.add_argument(
            "--trust",
            metavar="PEM",
            type=Path,
            action="append",
            default=[],
            help="a further authority to trust",
        )

    def handle(self, *args: Any, file: Path, trust: list[Path], **options: Any) -> None:
        """Ends with status 1 when anything does not hold, 2 when the file cannot be read."""
        try:
            report = check_file(file.read_bytes(), file.name, [each.read_bytes() for each in trust])
        except OSError as error:
            raise CommandError(f"{error.filename} cannot be read: {error.strerror}.", returncode=2) from error
        except (NotReadable, ValueError) as error:
            raise CommandError(f"{file}: {error}", returncode=2) from error
        self._print(report, "")
        if not report.holds:
            sys.exit(1)

    def _print(self, report: FileReport, indent: str) -> None:
        self.stdout.write(f"{indent}{report.name}")
        for line in lines_of(report):
            self.stdout.write(f"{indent}  {line.label}: {line.words}")
            for detail in line.details:
                self.stdout.write(f"{indent}    - {detail}")
        for each in report.inner:
            self._print(each, indent + "  ")

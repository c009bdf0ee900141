"""Checks a PDF on the command line: `manage.py verify FILE [--json] [--pdf REPORT] [--trust PEM]`."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.documents.checking import FileReport, check_file
from wps.documents.report_paper import report_paper
from wps.documents.report_words import FORMAT, lines_of, report_content
from wps.pdf.unreadable import NotReadable


class Command(BaseCommand):
    help = (
        "Say of a PDF whether it may be relied on as issued by this shop, and why: as issued, signed by whom,"
        " trusted here, added to, in force, findings derived again."
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
        parser.add_argument("--json", action="store_true", help="print the report as JSON")
        parser.add_argument("--pdf", metavar="REPORT", type=Path, help="keep the report as PDF in this file")

    def handle(self, *args: Any, file: Path, trust: list[Path], **options: Any) -> None:
        """Ends with status 1 when anything does not hold, 2 when the file cannot be read."""
        try:
            report = check_file(file.read_bytes(), file.name, [each.read_bytes() for each in trust])
        except OSError as error:
            self._refuse(file, f"{error.filename} cannot be read: {error.strerror}.", options["json"])
        except (NotReadable, ValueError) as error:
            self._refuse(file, f"{file}: {error}", options["json"])
        if options["json"]:
            self.stdout.write(json.dumps(report_content(report), indent=1))
        else:
            self._print(report, "")
        if options["pdf"]:
            options["pdf"].write_bytes(report_paper(report_content(report)))
        if not report.holds:
            sys.exit(1)

    def _refuse(self, file: Path, because: str, as_json: bool) -> None:
        if as_json:
            refused = {"format": FORMAT, "name": file.name, "holds": False, "refusal": because}
            self.stdout.write(json.dumps(refused, indent=1))
            sys.exit(2)
        raise CommandError(because, returncode=2)

    def _print(self, report: FileReport, indent: str) -> None:
        self.stdout.write(f"{indent}{report.name}")
        for line in lines_of(report):
            self.stdout.write(f"{indent}  {line.label}: {line.words}")
            for detail in line.details:
                self.stdout.write(f"{indent}    - {detail}")
        for each in report.inner:
            self._print(each, indent + "  ")

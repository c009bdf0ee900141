"""`manage.py coverage FILE`: whether tests cover a weld, and why or why not, as JSON."""

import sys
from functools import partial
from typing import Any

from django.core.management.base import CommandParser

from qualification.management.commands._interface import NOT_COVERED, DocumentCommand
from qualification.rules.interface.questions import coverage_document


class Command(DocumentCommand):
    help = "Reads test records and a weld as JSON and prints verdict and findings."
    name = "coverage"

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--fail-uncovered",
            action="store_true",
            help=f"exit with status {NOT_COVERED} unless the weld is covered",
        )

    def handle(self, *args: Any, file: str, fail_uncovered: bool, every_row: bool, **options: Any) -> None:
        document = self.answer(file, partial(coverage_document, with_rows=every_row))
        self.print_document(document)
        if fail_uncovered and not document["covered"]:
            sys.exit(NOT_COVERED)

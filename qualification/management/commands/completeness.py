"""`manage.py completeness EDITION`: what an edition says of every variable, as JSON."""

import sys
from typing import Any

from django.core.management.base import CommandParser

from qualification.management.commands._interface import BAD_INPUT, InterfaceCommand
from qualification.rules.interface.editions import completeness_document
from qualification.rules.tabular.schema import TableError


class Command(InterfaceCommand):
    help = "Prints what an edition says of every variable, by process and side, with the rows that say so."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("edition", metavar="EDITION", help="folder of its tables, such as asme_ix_2023")

    def handle(self, *args: Any, edition: str, **options: Any) -> None:
        try:
            document = completeness_document(edition)
        except TableError as error:
            self.stderr.write(str(error))
            sys.exit(BAD_INPUT)
        self.print_document(document)

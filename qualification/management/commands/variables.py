"""`manage.py variables`: every variable a record can state, and the schema of what is read, as JSON."""

from typing import Any

from django.core.management.base import CommandParser

from qualification.management.commands._interface import InterfaceCommand
from qualification.rules.interface.questions import variables_document
from qualification.rules.interface.schema import input_schema


class Command(InterfaceCommand):
    help = (
        "Prints the registry of variables as JSON, with the JSON Schema of what `ranges` and `coverage` read."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--schema", action="store_true", help="print the schema only")

    def handle(self, *args: Any, schema: bool, **options: Any) -> None:
        self.print_document(input_schema() if schema else {**variables_document(), "schema": input_schema()})

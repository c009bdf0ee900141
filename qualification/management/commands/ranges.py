"""`manage.py ranges FILE`: what one test record qualifies, as JSON."""

from functools import partial
from typing import Any

from qualification.management.commands._interface import DocumentCommand
from qualification.rules.interface.questions import ranges_document


class Command(DocumentCommand):
    help = "Reads one test record as JSON and prints the range it qualifies, row by row with clause."
    name = "ranges"

    def handle(self, *args: Any, file: str, every_row: bool, **options: Any) -> None:
        self.print_document(self.answer(file, partial(ranges_document, with_rows=every_row)))

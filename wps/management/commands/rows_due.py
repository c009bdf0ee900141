"""`manage.py rows_due [EDITION]`: rows of the code tables that are due for another look, and why."""

from __future__ import annotations

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from qualification.codes.editions import available_editions
from qualification.rules.tabular.schema import TableError
from wps.corrections.work_sheet import Due, WorkSheet, rows_due, work_sheet


class Command(BaseCommand):
    help = (
        "Lists rows of the code tables that are due for another look: unverified ones that records rest on,"
        " checks without effect, checks and sources older than so many months."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("edition", nargs="?", help="one edition alone, such as asme_ix_2023")
        parser.add_argument("--months", type=int, default=12, help="how long a look lasts; default 12")
        parser.add_argument("--json", action="store_true", help="as data")

    def handle(self, *args: Any, edition: str | None, months: int, json: bool, **options: Any) -> None:
        keys = [key for key, _ in available_editions()]
        if edition is not None and edition not in keys:
            raise CommandError(f"There is no edition {edition}. Choose one of {', '.join(keys)}.")
        if months < 1:
            raise CommandError("--months: give a whole number from 1.")
        try:
            sheets = [work_sheet(key) for key in keys if edition in (None, key)]
        except TableError as error:
            raise CommandError(str(error)) from error
        found = [(sheet, rows_due(sheet, timezone.localdate(), months)) for sheet in sheets]
        self.stdout.write(_as_json(found) if json else _as_text(found))


def _as_text(found: list[tuple[WorkSheet, list[Due]]]) -> str:
    said = []
    for sheet, due in found:
        left = sheet.left
        said.append(
            f"{sheet.edition.name}: {len(due)} due; {left.used_left} unverified rows that records rest on,"
            f" {left.rest_left} others; {left.percent} % of {left.rows} confirmed"
        )
        said += [
            f"  no. {each.line.row.number}  {each.line.row.words.clause}  {each.line.row.words.subject}:"
            f" {each.because}{f' ({each.line.records_words})' if each.line.records else ''}"
            for each in due
        ]
    return "\n".join(said)


def _as_json(found: list[tuple[WorkSheet, list[Due]]]) -> str:
    return json.dumps(
        [
            {
                "edition": sheet.edition.id,
                "confirmed_percent": sheet.left.percent,
                "due": [
                    {
                        "number": each.line.row.number,
                        "clause": each.line.row.words.clause,
                        "subject": each.line.row.words.subject,
                        "because": each.because,
                        "records": list(each.line.records),
                    }
                    for each in due
                ],
            }
            for sheet, due in found
        ],
        indent=1,
    )

"""Checks the audit trail: `manage.py audit`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from wps.documents.trail import check_shop_trail, witness_in


class Command(BaseCommand):
    help = (
        "Check the audit trail: every entry, every link, and the end that each issued paper names. Prints the"
        " first break; status 1 when there is one."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "copies",
            nargs="*",
            type=Path,
            metavar="COPY",
            help="papers that others hold: each is asked what the trail was when it was made",
        )

    def handle(self, *args: Any, copies: list[Path], **options: Any) -> None:
        """Ends with status 1 when the trail does not hold. Raises CommandError for a paper that is no
        witness."""
        brought = []
        for path in copies:
            if (found := witness_in(path)) is None:
                raise CommandError(
                    f"{path} cannot be read, or is no paper of this shop that names its audit trail.",
                    returncode=2,
                )
            brought.append(found)
        report = check_shop_trail(brought)
        self.stdout.write("\n".join(report.sentences))
        if not report.holds:
            sys.exit(1)

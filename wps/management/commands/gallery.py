"""`manage.py gallery FOLDER`: every paper of the shop's records in each of its states, and the partials and
messages of pages in theirs, to look at."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from qualification.tongues.languages import ENGLISH, LANGUAGES, speaking
from wps.gallery.papers import papers
from wps.gallery.partials import PAGE_NAME, write_page

RESOLUTION = "80"


class Command(BaseCommand):
    help = (
        "Renders the papers of all records in each state, on Letter and A4, in color and gray, and the"
        " partials of pages in each of theirs, to FOLDER."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", metavar="FOLDER", type=Path)
        parser.add_argument("--only", metavar="NUMBER", help="the record of this number alone")
        parser.add_argument("--no-pictures", action="store_true", help="PDFs alone")
        parser.add_argument(
            "--brief", action="store_true", help="every state for the first record of each kind alone"
        )

        parser.add_argument("--language", choices=LANGUAGES, default=ENGLISH, help="of the papers")

    def handle(self, *args: Any, language: str, **options: Any) -> None:
        with speaking(language):
            self._make(options["folder"], options["only"], options["no_pictures"], options["brief"])

    def _make(self, folder: Path, only: str | None, no_pictures: bool, brief: bool) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        draws = not no_pictures and shutil.which("pdftoppm")
        if not no_pictures and not draws:
            self.stderr.write("pdftoppm is not installed: PDFs alone are made.")
        if only is None:
            write_page(folder)
            self.stdout.write(PAGE_NAME)
        for name, pdf, pages in papers(only, brief=brief):
            target = folder / f"{name}.pdf"
            target.write_bytes(pdf)
            if draws:
                for shade, flags in (("color", []), ("gray", ["-gray"])):
                    picture = target.with_name(f"{name}-{shade}")
                    call = ["pdftoppm", "-r", RESOLUTION, "-png", *flags, str(target), str(picture)]
                    subprocess.run(call, check=True)
            self.stdout.write(f"{name}: {pages} page{'' if pages == 1 else 's'}")

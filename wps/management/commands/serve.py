"""`manage.py serve`: serve this machine, or with `--share` the shop's network; `./run` ends in it."""

import os
import sys
from typing import Any

import segno
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from qualification.first_visit import first_address, nobody_yet
from wps.backups.checking import problem_with_the_database
from wps.demo.people import standing_sign_ins
from wps.serving.certificates import fingerprint, read_authority
from wps.serving.ways import CannotServe, on_this_machine, port_of, to_the_network


class Command(BaseCommand):
    help = "Serves the program; with --share to phones and other computers of the network, by HTTPS."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", default=os.environ.get("PORT") or "8000")
        parser.add_argument("--share", action="store_true", help="serve the local network, by HTTPS")

    def handle(self, *args: Any, port: str, share: bool, **options: Any) -> None:
        if problem := problem_with_the_database():
            raise CommandError(problem)
        try:
            number = port_of(port, "0.0.0.0" if share else "127.0.0.1")
            way = (to_the_network if share else on_this_machine)(number, os.environ)
        except CannotServe as refused:
            raise CommandError(str(refused)) from refused
        if nobody_yet():
            self.stdout.write(
                "Nobody can sign in yet. Make the first shop administrator at\n"
                f"  {way.address}{first_address()}"
            )
        elif not share and way.is_reached_from_outside and (names := standing_sign_ins()):
            self.stderr.write(
                f"Others reach this program, and the demo passwords still open it ({', '.join(names)})."
                " Change them under Shop, People."
            )
        if share:
            self._say_how(way.address, way.replaces_authority)
        self.stdout.write(f"Open {way.address}/   (stop with Ctrl+C)")
        sys.stdout.flush()
        os.execve(way.command[0], way.command, {**os.environ, **way.environment})

    def _say_how(self, address: str, replaces_authority: bool) -> None:
        authority = read_authority(settings.HTTPS_DIR)
        assert authority is not None, "sharing makes it first"
        code = segno.make(f"{address}/phone/", micro=False, error="m")
        if sys.stdout.isatty():
            code.terminal(compact=True)
        again = (
            " The certificate is a new one: install it again on each device." if replaces_authority else ""
        )
        self.stdout.write(
            f"Phones and other computers: scan the code or open {address}/phone/ and follow that page once."
            f"{again}\nThe certificate it offers has this SHA-256 fingerprint; compare before you install:\n"
            f"  {fingerprint(authority)}"
        )

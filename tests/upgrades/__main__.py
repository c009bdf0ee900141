"""Writes a shop of the release it is run with: `python -m tests.upgrades FILE`. The demo shop, a few of its
papers made and one signed, as a backup; kept for later releases to be tested on."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.own_shop import own_shop

PAPERS = 3
PASSPHRASE = "crossing the harbour by night"


def main() -> int:
    file = Path(sys.argv[1]).absolute()
    with own_shop():
        from django.contrib.auth.models import User
        from django.core.management import call_command

        from wps.background import tasks
        from wps.documents.taking_signatures import sign_document
        from wps.models import BackgroundTask, IssuedDocument
        from wps.signing.people import make_certificate

        kinds = ("procedure", "procedure-test", "welder-test")
        wanted = [IssuedDocument.objects.filter(kind=kind).first() for kind in kinds][:PAPERS]
        keys = [each.pk for each in wanted if each is not None]
        BackgroundTask.objects.exclude(kind="issue", subject_id__in=keys).delete()
        tasks.run_all()
        document = IssuedDocument.objects.get(pk=keys[0])
        author = User.objects.get(pk=document.author_id)
        make_certificate(author, PASSPHRASE)
        sign_document(document, author, PASSPHRASE)
        call_command("backup", str(file))
    return 0


if __name__ == "__main__":  # a process it starts reads this file again
    sys.exit(main())

"""Brings a shop of an earlier release to this one and says how it stands, as JSON: `python -m
tests.upgrades.look FOLDER`."""

from __future__ import annotations

import json
import os
import sys


def main() -> int:
    os.environ |= {"CTP_DATA": sys.argv[1], "DJANGO_SETTINGS_MODULE": "wps.settings", "CTP_TIME_ZONE": "UTC"}
    os.environ.pop("DATABASE_URL", None)
    import django

    django.setup()
    from django.core.management import call_command

    from qualification.records.unchanged import AFTER_APPROVAL, changed_since_approval
    from wps.documents import vault
    from wps.documents.checking import check_file
    from wps.documents.trail import check_shop_trail
    from wps.models import IssuedDocument
    from wps.today.attention import KINDS

    call_command("migrate", verbosity=0, without_backup=True)
    stored = IssuedDocument.objects.exclude(sha256="")
    papers = [(each.kind, check_file(vault.read(each.sha256), str(each))) for each in stored]
    approved = [each for kind in KINDS for each in kind._default_manager.filter(state__in=AFTER_APPROVAL)]
    said = {
        "trail": list(check_shop_trail().sentences),
        "holds": check_shop_trail().holds,
        "papers": {
            kind: {
                "content": report.content_holds,
                "derived": report.rederived is not None and report.rederived.matches,
                "same_tables": report.rederived is not None and report.rederived.same_tables,
                "said": report.rederived.sentence if report.rederived else "",
                "kept": report.kept.key,
                "signatures": len(report.signatures.judged),
            }
            for kind, report in papers
        },
        "approved": len(approved),
        "changed": [changed for each in approved if (changed := changed_since_approval(each))],
    }
    sys.stdout.write(json.dumps(said))
    return 0


if __name__ == "__main__":  # a process it starts reads this file again
    sys.exit(main())

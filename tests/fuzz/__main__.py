"""A long run of hostile entries: `python -m tests.fuzz --inputs 100000 --seed 1`, on a shop of its own."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from time import process_time


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=2_000)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"CTP_DATA": folder, "DJANGO_SETTINGS_MODULE": "wps.settings"}
        os.environ.pop("DATABASE_URL", None)
        return _run(chosen.inputs, chosen.seed)


def _run(inputs: int, number: int) -> int:
    import django

    django.setup()
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.test import Client

    from tests.fuzz.harness import Fuzzer

    settings.ALLOWED_HOSTS.append("testserver")
    call_command("migrate", verbosity=0)
    call_command("demo", verbosity=0)
    client = Client()
    client.force_login(User.objects.get(username="hedda"))
    fuzzer, began = Fuzzer(client, lambda said: print(said, flush=True)), process_time()
    fuzzer.too_long()
    found = fuzzer.run(inputs, number)
    for path, took in sorted(found.slow.items(), key=lambda each: -each[1])[:20]:
        print(f"slow: {took:.1f} s of processor time, {path}")
    print(f"{found.inputs} inputs, answers by status: {dict(sorted(found.statuses.items()))}")
    print(f"{(process_time() - began) / max(found.inputs, 1):.3f} s of processor time each")
    print(f"faults: {len(found.faults) or 'none'}; over 2 s: {len(found.slow) or 'none'}")
    return 1 if found.faults else 0


if __name__ == "__main__":
    sys.exit(main())

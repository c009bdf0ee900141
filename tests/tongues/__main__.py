"""`python -m tests.tongues` writes each `.mo` anew from its `.po`, then the words of the scripts."""

import os

import django

from tests.tongues.catalogues import DOMAINS, LANGUAGES, compiled, po_file, script_words, words_file

for language in LANGUAGES:
    for domain in DOMAINS:
        made = po_file(language, domain).with_suffix(".mo")
        made.write_bytes(compiled(language, domain))
        print(f"{made.name} of {language}: {made.stat().st_size} bytes")

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wps.settings")
django.setup()
for language in ("en", *LANGUAGES):
    words_file(language).write_bytes(script_words(language))

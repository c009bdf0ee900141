"""`python -m tests.tongues` writes each `.mo` anew from its `.po`."""

from tests.tongues.catalogues import DOMAINS, LANGUAGES, compiled, po_file

for language in LANGUAGES:
    for domain in DOMAINS:
        made = po_file(language, domain).with_suffix(".mo")
        made.write_bytes(compiled(language, domain))
        print(f"{made.name} of {language}: {made.stat().st_size} bytes")

"""English left on the pages of a demo shop, every address of the URL table: `python -m tests.tongues.pages`;
`--only /jobs/` looks at addresses that begin so."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from tests.access.own_demo import demo_client
from tests.tongues.catalogues import LANGUAGES


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="addresses that begin so, such as /jobs/")
    parser.add_argument("--language", action="append", choices=LANGUAGES, help="default: each")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        client = demo_client(Path(folder))
        from django.contrib.auth.models import User

        from tests.access.answers import answers_of, in_language
        from tests.access.whole_shop import one_of_each
        from tests.fuzz.targets import addresses
        from tests.tongues.english import english_in, names_and_typed

        known = one_of_each(client, User.objects.get(username="hedda"))
        every = [each for each in addresses() if f"/{each.text}".startswith(chosen.only)]
        found: set[tuple[str, str]] = set()
        for language in chosen.language or LANGUAGES:
            typed, pages = names_and_typed(language), 0
            for path, page in answers_of(in_language(client, language), every, known, language):
                pages += 1
                for text, words in english_in(page, language, typed).items():
                    if (language, text) not in found:
                        print(f"{language} {path}: {text} ({', '.join(sorted(words))})", flush=True)
                    found.add((language, text))
            print(
                f"{language}: {pages} pages, {sum(each == language for each, _ in found)} texts with English"
            )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())

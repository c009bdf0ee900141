"""What the server's log is told of a request: never an address that opens something by itself."""

from __future__ import annotations

import logging
import re

IN_AN_ADDRESS = re.compile(r"/(shared|lapses|first)/[^/.\s]++")
"""Where a word of an address is a secret: whoever has it needs no sign-in."""


class WithoutSecrets(logging.Filter):
    """Takes the secrets out of what is logged of requests."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Always true: the line is written, without them."""
        record.msg = without_secrets(record.msg)
        if isinstance(record.args, tuple):
            record.args = tuple(without_secrets(each) for each in record.args)
        return True


def without_secrets(said: object) -> object:
    """The same with the secret words of addresses left out; what is no text as it was."""
    return IN_AN_ADDRESS.sub(r"/\1/…", said) if isinstance(said, str) else said

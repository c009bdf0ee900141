"""Short codes and the QR picture that lead from a printed page to the answer whether it still holds."""

from __future__ import annotations

import secrets

import segno
from django.urls import reverse

from qualification.server_address import server_address

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Digits and letters without I, L, O and U, which are misread on paper."""
LENGTH = 10
READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0"})


def new_code() -> str:
    """A code nobody can guess: fifty random bits."""
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def said(code: str) -> str:
    """The code as printed, in two halves."""
    return f"{code[:5]}-{code[5:]}"


def typed(text: str) -> str:
    """A code as somebody typed it, read back: case, blanks and hyphens do not matter."""
    return "".join(text.upper().replace("-", " ").split()).translate(READ_AS)


def could_be(code: str) -> bool:
    """Whether a code that was read back has the length and the letters of one."""
    return len(code) == LENGTH and not set(code) - set(ALPHABET)


def address_of(code: str) -> str:
    """The full address the QR picture holds; empty while the server has none that leads others here."""
    address = server_address()
    return f"{address}{reverse('verify_code', args=[code])}" if address else ""


def qr_svg(address: str) -> str:
    """The address as QR picture: inline SVG, black on nothing, quiet zone included."""
    return segno.make(address, error="m", micro=False).svg_inline(
        scale=1, border=2, omitsize=True, svgclass="qr", lineclass=None
    )


def mark_of(code: str) -> dict[str, str]:
    """What a document prints of its code. Without an address there is no picture: it would lead nowhere."""
    address = address_of(code)
    return {"code": said(code), "address": address, "qr": qr_svg(address) if address else ""}

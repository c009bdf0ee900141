"""Short codes and the QR picture that lead from a printed page to the answer whether it still holds."""

from __future__ import annotations

import secrets

import segno
from django.conf import settings
from django.urls import reverse

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


def address_of(code: str) -> str:
    """The full address the QR picture holds, on the shop's server as `CTP_ADDRESS` names it."""
    return f"{settings.ADDRESS}{reverse('verify_code', args=[code])}"


def qr_svg(code: str) -> str:
    """The address as QR picture: inline SVG, black on nothing, quiet zone included."""
    return segno.make(address_of(code), error="m", micro=False).svg_inline(
        scale=1, border=2, omitsize=True, svgclass="qr", lineclass=None
    )


def mark_of(code: str) -> dict[str, str]:
    """What a document prints of its code."""
    return {"code": said(code), "address": address_of(code), "qr": qr_svg(code)}

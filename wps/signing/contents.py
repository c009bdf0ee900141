"""The gap in the signed bytes: a signature lies in a hole of the file that it cannot cover, so whatever is in
that hole beside the signature has to be accounted for."""

from __future__ import annotations

from collections.abc import Sequence

from asn1crypto import parser


def gap_is_accounted_for(pdf: bytes, byte_range: Sequence[int]) -> bool:
    """Whether the hole that the byte range leaves holds one hexadecimal string and nothing else: the
    signature, and zeros up to the hole's end."""
    if len(byte_range) != 4 or byte_range[0] != 0:
        return False
    _, start, end, rest = (int(each) for each in byte_range)
    if not 0 < start < end <= end + rest <= len(pdf):
        return False
    return _is_signature_and_zeros(pdf[start:end])


def _is_signature_and_zeros(gap: bytes) -> bool:
    if gap[:1] != b"<" or gap[-1:] != b">":
        return False
    written = gap[1:-1]
    if written not in (written.lower(), written.upper()):  # one writer uses one case
        return False
    try:
        content = bytes.fromhex(written.decode("ascii"))
        parts = parser.parse(content, strict=False)
    except ValueError:
        return False
    if len(content) * 2 != len(written):  # blanks between the digits say nothing and can be changed
        return False
    _, _, _, head, body, tail = parts
    return not any(content[len(head) + len(body) + len(tail) :])


def end_of(byte_range: Sequence[int]) -> int:
    """Where the bytes that a signature covers end; 0 for a byte range that is none."""
    try:
        return int(byte_range[2]) + int(byte_range[3])
    except (IndexError, TypeError, ValueError):
        return 0

"""Licenses of the packages in requirements.lock, as each states its own."""

from __future__ import annotations

import re
from collections.abc import Iterable
from email.message import Message
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from typing import cast

from django.conf import settings

READ_BY_HAND = {"pyrage": "MIT"}
"""Packages whose metadata name none: what the license file of their source says."""
LONGEST = 80
"""A longer text is the license itself, not its name."""
_LOCKED = re.compile(r"^([a-z0-9][a-z0-9._-]*+)(?:\[[^\]]*\])?==", re.M)


def locked() -> list[str]:
    """Names of all packages in requirements.lock."""
    text = (settings.BASE_DIR / "requirements.lock").read_text(encoding="utf-8")
    return _LOCKED.findall(text)


def installed_licenses(names: Iterable[str]) -> dict[str, tuple[str, str]]:
    """Version and license of each that is installed here; the license is empty where none is known. Those for
    other systems are left out."""
    found = {}
    for name in names:
        try:
            package = distribution(name)
        except PackageNotFoundError:
            continue
        found[name] = (package.version, license_of(package) or READ_BY_HAND.get(name, ""))
    return found


def license_of(package: Distribution) -> str:
    """As the package's metadata state it: an SPDX expression, else its classifiers, else a short text."""
    stated = cast("Message", package.metadata)
    if expression := stated.get("License-Expression"):
        return expression
    of_license = [each for each in stated.get_all("Classifier") or [] if each.startswith("License ::")]
    if classes := [each.rpartition(" :: ")[2] for each in of_license]:
        return ", ".join(classes)
    text = (stated.get("License") or "").strip()
    return text if len(text) <= LONGEST else text.splitlines()[0][:LONGEST]

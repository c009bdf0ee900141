"""The register of all checks by the name acceptance.toml uses."""

from __future__ import annotations

from collections.abc import Mapping

from .check import AcceptanceCheck
from .sections import SECTION_CHECKS
from .strength import STRENGTH_CHECKS
from .volumetric import VOLUMETRIC_CHECKS

CHECKS: Mapping[str, AcceptanceCheck] = {**STRENGTH_CHECKS, **SECTION_CHECKS, **VOLUMETRIC_CHECKS}

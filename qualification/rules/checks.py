"""The register of all checks by the name acceptance.toml uses."""

from __future__ import annotations

from collections.abc import Mapping

from .acceptance import Check
from .acceptance_sections import SECTION_CHECKS
from .acceptance_strength import STRENGTH_CHECKS
from .acceptance_volumetric import VOLUMETRIC_CHECKS

CHECKS: Mapping[str, Check] = {**STRENGTH_CHECKS, **SECTION_CHECKS, **VOLUMETRIC_CHECKS}

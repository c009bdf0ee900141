"""Which of a code's alternatives a record means to take, where several would do.

This decides which rows a form offers, never a verdict: any alternative that is complete satisfies the code.
It is kept as text beside what else the record settles of its tests, under keys that begin with `way.`.
"""

from __future__ import annotations

from collections.abc import Mapping

from .requirements import Alternative, Requirement

PREFIX = "way."


def way_name(requirement: Requirement) -> str:
    """Key under which the way meant for a requirement is kept."""
    return PREFIX + ".".join(part for part in (requirement.group, requirement.position) if part)


def way_value(way: Alternative) -> str:
    """One alternative as text: `face_bend:2+root_bend:2`."""
    return "+".join(f"{specimen.kind}:{specimen.number}" for specimen in way.specimens)


def way_meant(requirement: Requirement, wanted: Mapping[str, str]) -> Alternative:
    """The alternative the record means to take; the code's first while it names none."""
    named = wanted.get(way_name(requirement), "")
    return next(
        (way for way in requirement.alternatives if way_value(way) == named), requirement.alternatives[0]
    )


def without_ways(wanted: Mapping[str, str]) -> dict[str, str]:
    """What the record settles of its tests, the ways left out."""
    return {key: text for key, text in wanted.items() if not key.startswith(PREFIX)}

"""What a page says of a trial: its entries, passes and results in words, what is odd about them, and what
changed."""

from __future__ import annotations

from qualification.models import Trial
from qualification.records.differences import Difference, entry_differences
from qualification.rules.trials.change_words import say_changes
from qualification.rules.variables.definition import Level, RecordKind
from qualification.rules.variables.registry import registry
from qualification.rules.variables.trial import RESULT


def before(trial: Trial) -> Trial | None:
    """The trial it is compared with: the one it was copied from, else the one welded before it by the same
    process."""
    if trial.copied_from_id:
        return trial.copied_from
    earlier = Trial.objects.filter(pk__lt=trial.pk, begun=True).order_by("-pk")
    return next(
        (each for each in earlier[:20] if each.line.get("process") == trial.line.get("process")), None
    )


def changed_against(earlier: Trial, later: Trial) -> list[Difference]:
    """Settings that differ between two trials; results and readings are not settings."""
    systems = earlier.units, later.units
    found = [
        *entry_differences("", earlier.joint, later.joint, Level.JOINT, RecordKind.TRIAL, systems),
        *entry_differences("", earlier.line, later.line, Level.LINE, RecordKind.TRIAL, systems),
    ]
    return [each for each in found if registry()[each.variable].group != RESULT]


def say_changed(earlier: Trial, later: Trial) -> str:
    """The changes in one sentence."""
    return say_changes([each.words for each in changed_against(earlier, later)])

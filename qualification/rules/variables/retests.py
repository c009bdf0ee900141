"""What a welder's record says of an earlier test that failed. The failed record stays as it is; a retest is a
record of its own, and the tables say how many coupons it takes (`specimens.toml`, `[[retest]]`)."""

from __future__ import annotations

from .common import choices_of, joint
from .definition import RecordKind, ValueKind, Variable

JOINT, WELDER_TEST = "Joint", frozenset({RecordKind.WELDER_TEST})
RETEST = "retest"
FIRST, IMMEDIATE, TRAINED = "first", "immediate", "trained"
AFTER_A_FAILURE = frozenset({IMMEDIATE, TRAINED})

OF_RETESTS: tuple[Variable, ...] = (
    joint(
        RETEST,
        "Retest",
        JOINT,
        ValueKind.CHOICE,
        uses=WELDER_TEST,
        choices=choices_of(
            (FIRST, "No, not after a failed test"),
            (IMMEDIATE, "Yes, at once"),
            (TRAINED, "Yes, after more training or practice"),
        ),
        help="After a failed test codes ask for more coupons, or for training first.",
    ),
    joint(
        "retest_of",
        "Record of the failed test",
        JOINT,
        ValueKind.TEXT,
        uses=WELDER_TEST,
        shown_when=(RETEST, AFTER_A_FAILURE),
    ),
    joint(
        "retest_training",
        "Training or practice before the retest",
        JOINT,
        ValueKind.TEXT,
        uses=WELDER_TEST,
        shown_when=(RETEST, frozenset({TRAINED})),
        help="What was practiced, from when to when, and who watched.",
    ),
)

"""What a welder's record says of an earlier test that failed. The failed record stays as it is; a retest is a
record of its own, and the tables say how many coupons it takes (`specimens.toml`, `[[retest]]`)."""

from __future__ import annotations

from .common import JOINT, WELDER_TEST, when
from .definition import Variable

FOR_WELDERS = JOINT.but(uses=WELDER_TEST)
RETEST = "retest"
FIRST, IMMEDIATE, TRAINED = "first", "immediate", "trained"
AFTER_A_FAILURE = frozenset({IMMEDIATE, TRAINED})

OF_RETESTS: tuple[Variable, ...] = (
    FOR_WELDERS.choice(
        RETEST,
        "Retest",
        {
            FIRST: "No, not after a failed test",
            IMMEDIATE: "Yes, at once",
            TRAINED: "Yes, after more training or practice",
        },
        help="After a failed test codes ask for more coupons, or for training first.",
    ),
    FOR_WELDERS.text("retest_of", "Record of the failed test", shown_when=(RETEST, AFTER_A_FAILURE)),
    FOR_WELDERS.text(
        "retest_training",
        "Training or practice before the retest",
        "What was practiced, from when to when, and who watched.",
        shown_when=when(RETEST, TRAINED),
    ),
)

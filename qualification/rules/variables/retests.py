"""What a record says of an earlier test that failed, and of a coupon that was repaired. The failed record
stays as it is; a retest is a record of its own, and the tables say what it takes (`specimens.toml`,
`[[retest]]`). No edition here rules a repaired coupon, so one never counts by itself."""

from __future__ import annotations

from .common import JOINT, ON_TESTS, TEST, WELDER_TEST, when
from .definition import Variable

FOR_WELDERS = JOINT.but(uses=WELDER_TEST)
RETEST = "retest"
FIRST, IMMEDIATE, TRAINED = "first", "immediate", "trained"
AFTER_A_FAILURE = frozenset({IMMEDIATE, TRAINED})
FOR_PROCEDURES = JOINT.but(uses=TEST)
REPEAT, REPEATED_KIND, REPEATED, REPAIRED = "test_repeat", "repeat_kind", "repeat_failed", "coupon_repaired"
COUPON, SPECIMENS = "coupon", "specimens"
REPEATS = frozenset({COUPON, SPECIMENS})
"""A procedure test after a failed one: another coupon, or further specimens of the one that failed."""

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

OF_REPEATS: tuple[Variable, ...] = (
    FOR_PROCEDURES.choice(
        REPEAT,
        "Repeat of a failed test",
        {
            FIRST: "No, not after a failed test",
            COUPON: "Yes, another coupon",
            SPECIMENS: "Yes, further specimens of the same coupon",
        },
        help="The failed record stays. Codes say how many specimens take the place of one that failed.",
    ),
    FOR_PROCEDURES.text("repeat_of", "Failed test that is repeated", shown_when=(REPEAT, REPEATS)),
    FOR_PROCEDURES.text(
        "repeat_cause",
        "Cause of the failure",
        "What was found, and why it does not come from what the procedure prescribes.",
        shown_when=(REPEAT, REPEATS),
    ),
    FOR_PROCEDURES.choice(
        REPEATED_KIND,
        "Kind of specimen that failed",
        {
            "tension": "Tension test",
            "face_bend": "Face bend",
            "root_bend": "Root bend",
            "side_bend": "Side bend",
            "longitudinal_face_bend": "Longitudinal face bend",
            "longitudinal_root_bend": "Longitudinal root bend",
            "macro": "Macro section",
            "fracture": "Fracture test",
        },
        shown_when=when(REPEAT, SPECIMENS),
    ),
    FOR_PROCEDURES.number(
        REPEATED,
        "Number of specimens that failed",
        "number",
        1,
        20,
        shown_when=when(REPEAT, SPECIMENS),
        help="Enter the results of those that passed, and of the further ones.",
    ),
    JOINT.yes_no(
        REPAIRED,
        "Coupon repaired before it was tested",
        uses=ON_TESTS,
        help="By welding. No edition here has a rule for a repaired coupon, so it does not count by itself.",
    ),
    JOINT.text(
        "coupon_repair",
        "Repair of the coupon",
        "Where, how deep, with which process and filler, and who allowed it.",
        uses=ON_TESTS,
        shown_when=when(REPAIRED, "yes"),
    ),
)
"""After the joint, since few records have anything to say here."""

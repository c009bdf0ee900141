"""Forms of a case of the shop's own, and of the coupon a row is tried on."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.own_cases import EXPECT, Case, weld_of
from qualification.codes.own_columns import body_of, body_shown
from qualification.codes.own_examples import coupon_of, tests_offered
from qualification.forms.fields import choice_field, text_field
from qualification.forms.own_edition import helper
from qualification.models import UnitSystem

LONGEST = 6000
TYPED = "A line each, such as: Base metal of side A: 6061. Names as the forms of records have them."


def coupon_fields(form: forms.Form, side: str, coupon: str = "") -> None:
    """The fields by which a coupon is chosen or typed in."""
    tests = [("", "Typed in below"), *tests_offered(side)]
    form.fields["test"] = choice_field("Coupon", tests, help_text="One of the shop’s tests, or typed in.")
    form.fields["coupon"] = text_field(
        "Coupon typed in",
        LONGEST,
        help_text=TYPED,
        initial=coupon,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
    )
    form.fields["units"] = choice_field(
        "Units", list(UnitSystem.choices), "Choose the units.", initial=UnitSystem.US
    )


class ExampleForm(forms.Form):
    """The coupon on which a row is tried."""

    def __init__(self, side: str, *args: Any, coupon: str = "", **kwargs: Any) -> None:
        super().__init__(*args, prefix="example", **kwargs)
        self.side = side
        self.body: tuple[dict[str, Any], str] | None = None
        coupon_fields(self, side, coupon)
        self.helper = helper("test", "coupon", "units")

    def clean(self) -> dict[str, Any]:
        """Read the coupon."""
        cleaned = super().clean() or {}
        if self.errors or not (cleaned.get("test") or cleaned.get("coupon")):
            return cleaned
        try:
            self.body = coupon_of(self.side, cleaned["test"], cleaned["coupon"], cleaned["units"])
        except ValueError as error:
            self.add_error("test" if cleaned.get("test") else "coupon", ValidationError(str(error)))
        return cleaned


class CaseForm(forms.Form):
    """One test, one weld, and whether the one qualifies the other."""

    def __init__(self, side: str, case: Case | None, *args: Any, **kwargs: Any) -> None:
        """`case`: the one that is changed; its weld is then shown whole."""
        super().__init__(*args, **kwargs)
        self.side, self.before = side, case
        self.case: Case | None = None
        start = case or {"name": "", "clause": "", "expect": "", "units": "us"}
        self.fields["name"] = text_field(
            "What it shows", 120, "Say in a few words what the case shows.", initial=start["name"]
        )
        self.fields["clause"] = text_field("Clause", 120, initial=start.get("clause", ""))
        coupon_fields(self, side, body_shown(case["coupon"]) if case else "")
        self.fields["units"].initial = start["units"]
        self.fields["weld"] = text_field(
            "The weld" if case else "The weld, where it is not like the coupon",
            LONGEST,
            help_text=TYPED if case else f"Empty: the weld that the coupon is. {TYPED}",
            initial=body_shown(case["weld"]) if case else "",
            widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
        )
        self.fields["expect"] = choice_field(
            "Answer by the book",
            [("", "Choose"), *EXPECT.items()],
            "Choose the answer the book gives.",
            initial=start["expect"],
        )
        self.helper = helper(
            Fieldset("The case", "name", "clause"),
            Fieldset("The test", "test", "coupon", "units"),
            Fieldset("The weld", "weld", "expect"),
        )

    def clean(self) -> dict[str, Any]:
        """Read coupon and weld."""
        cleaned = super().clean() or {}
        if not (cleaned.get("test") or cleaned.get("coupon")):
            self.add_error(
                "coupon", ValidationError("Choose one of the shop’s tests, or type the coupon in.")
            )
        if self.errors:
            return cleaned
        try:
            coupon, units = coupon_of(self.side, cleaned["test"], cleaned["coupon"], cleaned["units"])
        except ValueError as error:
            self.add_error("test" if cleaned["test"] else "coupon", ValidationError(str(error)))
            return cleaned
        try:
            said = body_of(cleaned["weld"])
            weld = said if self.before and cleaned["weld"] else weld_of(coupon, self.side, units, said)
        except ValueError as error:
            self.add_error("weld", ValidationError(str(error)))
            return cleaned
        self.case = {
            "name": cleaned["name"],
            "side": self.side,
            "units": units,
            "expect": cleaned["expect"],
            "clause": cleaned["clause"],
            "coupon": coupon,
            "weld": weld,
        }
        return cleaned

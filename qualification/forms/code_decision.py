"""The form by which the responsible person answers a finding that the tables have no rule for."""

from __future__ import annotations

from typing import Any

from django import forms

from qualification.forms.fields import choice_field, layout_of, text_field

COVERED, NOT_COVERED = "covered", "not_covered"
HERE, EVERYWHERE = "procedure", "edition"


class CodeDecisionForm(forms.Form):
    """What the code says, where it was read, and for which records the answer holds."""

    answer = choice_field(
        "What the code says",
        [(COVERED, "Covered"), (NOT_COVERED, "Not covered")],
        "Choose what the code says: covered or not covered.",
        widget=forms.RadioSelect,
    )
    clause = text_field(
        "Clause", 120, "Enter the clause you read.", "As printed in the book, such as 4.12 or Table 4.5."
    )
    copy = text_field(
        "Your copy of the code",
        120,
        "Name the copy of the code in which you read it.",
        "Title, edition and, where there is one, the printing or the copy's number.",
    )
    words = text_field(
        "In your own words",
        400,
        "Say in your own words what the clause means for this weld.",
        "Printed with the answer. Do not copy the code's text.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    scope = choice_field(
        "Where the answer holds",
        needed="Choose where the answer holds.",
        initial=HERE,
        widget=forms.RadioSelect,
    )

    def __init__(self, procedure: str, edition: str, *args: Any, **kwargs: Any) -> None:
        """`procedure`: the number the answer may be kept to; without one it is for every record."""
        super().__init__(*args, **kwargs)
        self.fields["scope"].choices = [
            *([(HERE, f"For {procedure} alone")] if procedure else []),
            (EVERYWHERE, f"For every record under {edition} where the same question comes up"),
        ]
        if not procedure:
            self.fields["scope"].initial = EVERYWHERE
        self.helper = layout_of("answer", "clause", "copy", "words", "scope")

    @property
    def decided(self) -> dict[str, Any]:
        """The answer as it is stored."""
        said = self.cleaned_data
        return {
            "covered": said["answer"] == COVERED,
            "clause": said["clause"],
            "copy": said["copy"],
            "words": " ".join(said["words"].split()),
        }

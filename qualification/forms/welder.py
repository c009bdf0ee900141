"""Forms for welders and their continuity log."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.forms.days import PastDayField
from qualification.forms.fields import CHOOSE, choice_field, layout_of, text_field
from qualification.models import ProcessUse, Welder
from qualification.models.welder import OPERATIONS
from qualification.rules.entries.reading import LONGEST_TEXT
from qualification.rules.variables.definition import PROCESSES


class WelderForm(forms.ModelForm):
    """Who a welder is: the name, and the stamp put beside a weld."""

    name = text_field("Name", 120, "Enter the welder's name.")
    stamp = text_field(
        "Stamp", 20, "Enter the mark this welder puts beside a weld.", "Each welder has one of their own."
    )
    born_on = PastDayField(label="Day of birth")
    born_at = text_field("Place of birth", 120)
    identified_by = text_field(
        "Identified by", 120, help_text="What was shown, for example identity card; not its number."
    )
    notes = text_field("Notes", LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 3}))

    class Meta:
        model = Welder
        fields = ["name", "stamp", "born_on", "born_at", "identified_by", "notes"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            Row("name", "stamp"),
            Fieldset(
                "For certificates to ISO 9606",
                Row("born_on", "born_at", "identified_by"),
                css_class="group--stacked",
            ),
            "notes",
        )

    def clean_stamp(self) -> str:
        stamp = self.cleaned_data["stamp"]
        holder = Welder.objects.filter(stamp__iexact=stamp).exclude(pk=self.instance.pk).first()
        if holder is not None:
            raise ValidationError(f"Stamp {stamp} belongs to {holder.name}. Choose another.", code="taken")
        return stamp


class UseForm(forms.ModelForm):
    """One line of the continuity log: the welder used a process on a day, and what shows it."""

    process = choice_field(
        "Process", [CHOOSE, *((p, p) for p in PROCESSES)], "Choose the process that was used."
    )
    operation = choice_field(
        "Operation", [CHOOSE, *OPERATIONS], "Choose by which kind of operation it was used."
    )
    used_on = PastDayField(label="Day of use", needed="Enter the day on which the process was used.")
    evidence = text_field(
        "Evidence",
        200,
        "Enter what shows the use, such as a job or weld map.",
        "Job, weld map or report an inspector can look up.",
    )

    class Meta:
        model = ProcessUse
        fields = ["process", "operation", "used_on", "evidence"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(Row("process", "operation", "used_on"), "evidence")


class ReasonForm(forms.Form):
    """A reason, for whatever takes something away: it stays in the history."""

    reason = text_field(
        "Reason", 200, "Write the reason in one sentence.", "One sentence; it stays in the history."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of("reason")


class QuestionForm(forms.Form):
    """A specific reason to question the ability a welder test shows, and since when."""

    questioned_on = PastDayField(
        label="Questioned on", needed="Enter the day since which the ability is questioned."
    )
    reason = text_field(
        "Specific reason",
        200,
        "Write what gave reason to question this ability.",
        "Such as the welds that failed, and on which job.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of("questioned_on", "reason")

"""Forms around the weld list: a list to import, and the head of a detail."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Div, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError

from qualification.forms.fields import choice_field, layout_of, text_field
from qualification.models import UnitSystem
from wps.models import Detail

LARGEST = 10_000_000
TARGET_CHOICES = (("welds", "Welds"), ("details", "Details"), ("log", "Rows of the log"))


class ImportForm(forms.Form):
    """A list: a file, or rows pasted from a spreadsheet."""

    target = choice_field("What the list holds", TARGET_CHOICES, "What the list holds: choose one.")
    file = forms.FileField(
        label="File",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,.txt,.tsv"}),
        help_text=f"CSV or XLSX, up to {LARGEST / 1e6:.0f} MB. The first rows name the columns.",
        error_messages={"empty": "File: the file is empty. Choose a CSV or XLSX file with rows in it."},
    )
    pasted = forms.CharField(
        label="Or rows pasted from a spreadsheet",
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="With the row that names the columns. For more than about 100 rows choose a file.",
    )
    units = choice_field(
        "Numbers without a unit are in",
        UnitSystem.choices,
        "Choose the units.",
        unknown="Numbers without a unit have no “%(value)s”. Choose one of those listed.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            Fieldset("The list", Row("target", "units"), "file", "pasted"), disable_csrf=True
        )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file and file.size > LARGEST:
            raise ValidationError(
                f"File: it has {file.size / 1e6:.1f} MB. Choose one of {LARGEST / 1e6:.0f} MB or less."
            )
        return file

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "file" in cleaned and not cleaned["file"] and not cleaned.get("pasted", "").strip():
            self.add_error("file", "File: choose a CSV or XLSX file, or paste rows below.")
        return cleaned


class DetailForm(forms.ModelForm):
    """The head of a detail."""

    number = text_field("Detail number", 40, "Enter the detail number.", "Such as D-12.")
    title = text_field("Title", 160)
    units = choice_field("Units", UnitSystem.choices, "Choose the units.", "For numbers without a unit.")

    class Meta:
        model = Detail
        fields = ["number", "title", "units"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            Fieldset(
                "Detail",
                Div("number", "title", "units", css_class="entries entries--head"),
                css_class="group--stacked",
            ),
            disable_csrf=True,
            field_template="entries/head_field.html",
        )

    def clean_number(self) -> str:
        number = " ".join(self.cleaned_data["number"].split())
        others = Detail.objects.filter(job=self.instance.job, number__iexact=number)
        if others.exclude(pk=self.instance.pk).exists():
            raise ValidationError(
                f"Detail number {number} is taken in this job. Choose another.", code="taken"
            )
        return number

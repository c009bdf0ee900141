"""Forms of packets, handing over, and attachments."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils import timezone

from qualification.models import ProcedureTest, State, Welder, WelderTest
from wps.attachments import LARGEST, AttachmentRefused, look_at
from wps.models import Attachment, AttachmentKind, Job, Packet, Spec


def _too_long(label: str) -> str:
    return f"{label} is %(show_value)d characters long. Shorten it to %(limit_value)d or fewer."


def _boxes(
    label: str, choices: list[tuple[Any, str]] | None = None, hint: str = ""
) -> forms.TypedMultipleChoiceField:
    return forms.TypedMultipleChoiceField(
        label=label,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=choices or [],
        help_text=hint,
        error_messages={"invalid_choice": f"{label} has no choice %(value)s. Choose from those listed."},
    )


class PacketForm(forms.ModelForm):
    """What a packet is for and what it brings. Procedure tests and welder tests come along by themselves."""

    title = forms.CharField(
        label="Title",
        max_length=160,
        help_text="What the packet is about, as printed on its cover.",
        error_messages={"required": "Enter a title.", "max_length": _too_long("Title")},
    )
    recipient = forms.CharField(
        label="Recipient",
        max_length=160,
        help_text="The firm or person the packet goes to.",
        error_messages={"required": "Enter the recipient.", "max_length": _too_long("Recipient")},
    )
    procedures = _boxes("Procedures", hint="Each brings its supporting procedure tests along.")
    welders = _boxes(
        "Welders",
        hint="Each is listed with ranges, last use and expiry, and brings the tests behind them along.",
    )
    attachments = _boxes("Attachments")
    asked_for = _boxes(
        "The recipient asks for",
        list(AttachmentKind.choices),
        "A packet without one of these needs a statement.",
    )

    class Meta:
        model = Packet
        fields = ["title", "recipient"]

    PARTS = ("procedures", "welders", "attachments", "asked_for")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen = self.instance.choice
        self._offer(
            "procedures",
            Spec.objects.filter(state=State.APPROVED)
            | Spec.objects.filter(pk__in=chosen.get("procedures", [])),
            _spec_label,
        )
        self._offer(
            "welders",
            Welder.objects.filter(active=True) | Welder.objects.filter(pk__in=chosen.get("welders", [])),
            str,
        )
        self._offer(
            "attachments",
            Attachment.objects.filter(set_aside_because="")
            | Attachment.objects.filter(pk__in=chosen.get("attachments", [])),
            _paper_label,
        )
        for part in self.PARTS:
            self.fields[part].initial = chosen.get(part, [])
            self.fields[part].coerce = str if part == "asked_for" else int
        self.helper = FormHelper()
        self.helper.form_tag = False

    def _offer(self, name: str, found: Any, label: Any) -> None:
        self.fields[name].choices = [(each.pk, label(each)) for each in found.distinct()]
        if not self.fields[name].choices:
            self.fields[name].help_text = "There is none to choose."

    def save(self, commit: bool = True) -> Packet:
        self.instance.choice = {part: self.cleaned_data[part] for part in self.PARTS}
        return super().save(commit)


def _spec_label(spec: Spec) -> str:
    state = "" if spec.state == State.APPROVED else f" ({spec.get_state_display().lower()})"
    return f"{spec.reference} {spec.title}{state}".strip()


def _paper_label(paper: Attachment) -> str:
    return f"{paper} ({paper.belongs_to})" if paper.belongs_to else str(paper)


class HandOverForm(forms.Form):
    """A further handing over of an issued packet."""

    recipient = forms.CharField(
        label="Recipient",
        max_length=160,
        error_messages={"required": "Enter the recipient.", "max_length": _too_long("Recipient")},
    )
    sent_on = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Enter the day.", "invalid": "Day is no date. Write it like 2031-04-27."},
    )
    way = forms.CharField(
        label="By what way",
        max_length=120,
        help_text="E-mail, portal, paper, memory stick.",
        error_messages={"required": "Enter by what way it goes.", "max_length": _too_long("By what way")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"sent_on": timezone.localdate()})
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False


class AttachmentForm(forms.ModelForm):
    """A paper brought from outside."""

    file = forms.FileField(
        label="File",
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/png,image/jpeg"}),
        help_text=f"PDF, PNG or JPEG, up to {LARGEST / 1e6:.0f} MB. It is kept byte for byte.",
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose a PDF, PNG or JPEG file.",
        },
    )
    title = forms.CharField(
        label="Title",
        max_length=160,
        error_messages={"required": "Enter a title.", "max_length": _too_long("Title")},
    )
    heat = forms.CharField(
        label="Heat or lot number",
        required=False,
        max_length=60,
        error_messages={"max_length": _too_long("Heat or lot number")},
    )
    record = forms.ChoiceField(
        label="Belongs to record",
        required=False,
        help_text="Whatever its revision.",
        error_messages={"invalid_choice": "Belongs to record has no choice %(value)s. Choose one listed."},
    )

    class Meta:
        model = Attachment
        fields = ["kind", "title", "heat", "job"]
        labels = {"kind": "Kind", "job": "Belongs to job"}
        error_messages = {
            "kind": {
                "required": "Choose a kind.",
                "invalid_choice": "Kind has no choice %(value)s. Choose one listed.",
            }
        }

    field_order = ("file", "kind", "title", "heat", "job", "record")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].queryset = Job.objects.all()
        self.fields["job"].required = False
        self.fields["job"].empty_label = "No job"
        self.fields["record"].choices = [("", "No record"), *_numbers()]
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean_file(self) -> Any:
        """The file, once it is known to be one that packets can bring."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST:
            raise forms.ValidationError(
                f"The file has {file.size / 1e6:.1f} MB. Choose one of {LARGEST / 1e6:.0f} MB or less."
            )
        try:
            look_at(file.read())
        except AttachmentRefused as refused:
            raise forms.ValidationError(str(refused)) from refused
        file.seek(0)
        return file

    def about(self) -> dict[str, Any]:
        """The fields of the attachment beside its file."""
        kind, _, number = self.cleaned_data["record"].partition(":")
        return {
            **{name: self.cleaned_data[name] for name in ("kind", "title", "heat", "job")},
            "record_kind": kind,
            "record_number": number,
        }


def _numbers() -> list[tuple[str, str]]:
    kinds = (
        ("procedure", "Procedure", Spec),
        ("procedure-test", "Procedure test", ProcedureTest),
        ("welder-test", "Welder test", WelderTest),
    )
    return [
        (f"{kind}:{number}", f"{words} {number}")
        for kind, words, model in kinds
        for number in model.objects.order_by("number").values_list("number", flat=True).distinct()
    ]

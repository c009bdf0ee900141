"""Forms of packets, handing over, and attachments."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.conf import settings
from django.utils import timezone

from qualification.forms.fields import choice_field, layout_of
from qualification.lengths import too_long_in_form
from qualification.models import ProcedureTest, Shop, State, UnitSystem, Welder, WelderTest
from wps.documents.attachments import LARGEST, AttachmentRefused, look_at
from wps.documents.kinds import WORDS
from wps.models import Attachment, AttachmentKind, Job, Packet, Spec


def _boxes(
    label: str, choices: list[tuple[Any, str]] | None = None, hint: str = ""
) -> forms.TypedMultipleChoiceField:
    return forms.TypedMultipleChoiceField(
        label=label,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=choices or [],
        help_text=hint,
        error_messages={"invalid_choice": f"{label} has no “%(value)s”. Tick one of those listed."},
    )


class PacketForm(forms.ModelForm):
    """What a packet is for and what it brings. Procedure tests and welder tests come along by themselves."""

    title = forms.CharField(
        label="Title",
        max_length=160,
        help_text="What the packet is about, as printed on its cover.",
        error_messages={"required": "Enter a title.", "max_length": too_long_in_form("Title")},
    )
    recipient = forms.CharField(
        label="Recipient",
        max_length=160,
        help_text="The firm or person the packet goes to.",
        error_messages={"required": "Enter the recipient.", "max_length": too_long_in_form("Recipient")},
    )
    procedures = _boxes("Procedures", hint="Each brings its supporting procedure tests along.")
    welders = _boxes(
        "Welders",
        hint="Each is listed with ranges, last use and expiry, and brings the tests behind them along.",
    )
    procedure_tests = _boxes(
        "Further procedure tests",
        hint="The tests that the job's welds rest on come along by themselves. These can be added.",
    )
    welder_tests = _boxes(
        "Further welder tests",
        hint="The tests that the job's welds rest on come along by themselves. These can be added.",
    )
    attachments = _boxes("Attachments", hint="By the record each belongs to.")
    units = choice_field(
        "Units of the recipient",
        [("", "As each record is kept"), *UnitSystem.choices],
        help_text="For the weld list, the welders' ranges and the front's paper. What is signed stays so.",
    )
    language = choice_field(
        "Language of the recipient",
        settings.LANGUAGES,
        help_text="For the cover, its lists and the letter. What is signed stays in its own language,"
        " followed by a reading copy.",
    )
    asked_for = _boxes(
        "The recipient asks for",
        list(AttachmentKind.choices),
        "A packet without one of these needs a statement.",
    )

    class Meta:
        model = Packet
        fields = ["title", "recipient"]

    PARTS = ("procedures", "welders", "procedure_tests", "welder_tests", "attachments", "asked_for")
    TEXTS = ("asked_for", "welder_tests")
    """Parts chosen by name or number, where the others are chosen by id."""

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
        papers = Attachment.objects.filter(set_aside_because="") | Attachment.objects.filter(
            pk__in=chosen.get("attachments", [])
        )
        self.fields["attachments"].choices = by_record(papers.select_related("job").distinct())
        if not self.fields["attachments"].choices:
            self.fields["attachments"].help_text = "There is none to choose."
        self._offer_tests(chosen)
        self.fields["units"].initial = chosen.get("units", "")
        self.fields["language"].initial = chosen.get("language") or Shop.current().paper_language
        for part in (each for each in self.PARTS if each in self.fields):
            self.fields[part].initial = chosen.get(part, [])
            self.fields[part].coerce = str if part in self.TEXTS else int
        self.helper = layout_of(layout=None)

    def _offer(self, name: str, found: Any, label: Any) -> None:
        self.fields[name].choices = [(each.pk, label(each)) for each in found.distinct()]
        if not self.fields[name].choices:
            self.fields[name].help_text = "There is none to choose."

    def _offer_tests(self, chosen: dict[str, Any]) -> None:
        """Tests that can be added: of the procedures and welders as they are chosen so far. A packet without
        a job brings all of them anyway."""
        if self.instance.job is None:
            for part in ("procedure_tests", "welder_tests"):
                del self.fields[part]
            return
        tests = ProcedureTest.objects.filter(specs__in=chosen.get("procedures", []), state=State.APPROVED)
        self._offer(
            "procedure_tests", tests.order_by("number"), lambda test: f"{test.reference} {test.title}"
        )
        welders = chosen.get("welders", [])
        own = [
            *WelderTest.objects.filter(welder__in=welders, state=State.APPROVED).select_related("welder"),
            *ProcedureTest.objects.filter(welder__in=welders, state=State.APPROVED).select_related("welder"),
        ]
        self.fields["welder_tests"].choices = [
            (number, f"{number}, {welder}")
            for number, welder in sorted({each.number: str(each.welder) for each in own}.items())
        ]
        if not own:
            self.fields["welder_tests"].help_text = "There is none to choose."

    def save(self, commit: bool = True) -> Packet:
        kept = {part: self.cleaned_data[part] for part in self.PARTS if part in self.fields}
        self.instance.choice = {**kept, **{each: self.cleaned_data[each] for each in ("units", "language")}}
        return super().save(commit)


def _spec_label(spec: Spec) -> str:
    state = "" if spec.state == State.APPROVED else f" ({spec.get_state_display().lower()})"
    return f"{spec.reference} {spec.title}{state}".strip()


def _paper_label(paper: Attachment) -> str:
    return f"{paper} ({paper.belongs_to})" if paper.belongs_to else str(paper)


def by_record(papers: Iterable[Attachment]) -> list[tuple[str, list[tuple[int, str]]]]:
    """The papers as choices, under the record each belongs to, else its job, else under none."""
    found: dict[str, list[tuple[int, str]]] = {}
    for paper in papers:
        if paper.record_number:
            group = f"{WORDS.get(paper.record_kind, 'Record')} {paper.record_number}"
        else:
            group = f"Job {paper.job.number}" if paper.job else "Of no record"
        found.setdefault(group, []).append((paper.pk, _paper_label(paper)))
    return sorted(found.items())


class HandOverForm(forms.Form):
    """A further handing over of an issued packet."""

    recipient = forms.CharField(
        label="Recipient",
        max_length=160,
        error_messages={"required": "Enter the recipient.", "max_length": too_long_in_form("Recipient")},
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
        error_messages={
            "required": "Enter by what way it goes.",
            "max_length": too_long_in_form("By what way"),
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"sent_on": timezone.localdate()})
        super().__init__(*args, **kwargs)
        self.helper = layout_of(layout=None)


class AttachmentForm(forms.ModelForm):
    """A paper brought from outside."""

    file = forms.FileField(
        label="File",
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/png,image/jpeg"}),
        help_text=f"PDF, PNG or JPEG, up to {LARGEST / 1e6:.0f} MB. It is kept byte for byte. A phone offers"
        " its camera.",
        error_messages={
            "required": "Choose a file.",
            "empty": "The file is empty. Choose a PDF, PNG or JPEG file.",
        },
    )
    title = forms.CharField(
        label="Title",
        max_length=160,
        error_messages={"required": "Enter a title.", "max_length": too_long_in_form("Title")},
    )
    heat = forms.CharField(
        label="Heat or lot number",
        required=False,
        max_length=60,
        error_messages={"max_length": too_long_in_form("Heat or lot number")},
    )
    record = choice_field("Belongs to record", help_text="Whatever its revision.")
    specimen = forms.CharField(
        label="Specimen shown",
        required=False,
        max_length=60,
        help_text="Of a picture of a bend, macro or other specimen: its name among the results.",
        error_messages={"max_length": too_long_in_form("Specimen shown")},
    )

    class Meta:
        model = Attachment
        fields = ["kind", "title", "heat", "job", "part", "lot", "specimen"]
        labels = {"kind": "Kind", "job": "Belongs to job"}
        error_messages = {
            "kind": {
                "required": "Choose a kind.",
                "invalid_choice": "Kind has no “%(value)s”. Choose one of those listed.",
            }
        }

        widgets = {"part": forms.HiddenInput, "lot": forms.HiddenInput}

    field_order = ("file", "kind", "title", "specimen", "heat", "job", "record", "part", "lot")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].queryset = Job.objects.all()
        self.fields["job"].required = False
        self.fields["job"].empty_label = "No job"
        self.fields["record"].choices = [("", "No record"), *_numbers()]
        self.helper = layout_of(layout=None)

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
            **{
                name: self.cleaned_data[name]
                for name in ("kind", "title", "heat", "job", "part", "lot", "specimen")
            },
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

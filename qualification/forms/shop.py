"""The form for the shop's letterhead and settings."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.layout import Fieldset, Row
from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from qualification.codes.editions import as_choices, available_editions, editions_for_welders
from qualification.forms.fields import choice_field, edition_field, layout_of, ticks_field
from qualification.forms.pictures import refuse_too_many_pixels
from qualification.lengths import too_long_in_form
from qualification.models import Shop
from qualification.models.shop import IDLE_CHOICES, SecondStep, UnitOrder
from qualification.server_address import leads_here, problem_with, problem_with_service

LOGO_LIMIT_BYTES = 2 * 1024 * 1024
LOGO_SUFFIXES = {"PNG": ".png", "JPEG": ".jpg"}


def _address_help(offered: Sequence[str]) -> str:
    what = "Codes printed on papers lead there; checked when you save."
    if settings.ADDRESS:
        return f"{what} Whoever runs the server has set {settings.ADDRESS}, which goes before this."
    if offered:
        return f"{what} Answers now: {', '.join(offered)}."
    return f"{what} Empty: papers print no code to scan. No address of this machine answers others now."


class ShopForm(forms.ModelForm):
    """Everything about the shop that documents print or records start from."""

    name = forms.CharField(
        label="Shop name",
        max_length=120,
        help_text="As printed at the head of each document.",
        error_messages={
            "required": "Enter the shop name.",
            "max_length": too_long_in_form("Shop name"),
        },
    )
    address = forms.CharField(
        label="Address",
        required=False,
        max_length=400,
        error_messages={"max_length": too_long_in_form("Address")},
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "street-address"}),
        help_text="One line per printed line.",
    )
    phone = forms.CharField(
        label="Phone",
        required=False,
        max_length=40,
        error_messages={"max_length": too_long_in_form("Phone")},
    )
    email = forms.EmailField(
        label="E-mail",
        required=False,
        error_messages={"invalid": "E-mail has no full address. Write it like name@firm.example."},
    )
    logo = forms.ImageField(
        label="Letterhead logo",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg"}),
        help_text="PNG or JPEG, up to 2 MB. Dark on white prints best.",
        error_messages={
            "invalid_image": "Letterhead logo cannot be read as a picture. Choose a PNG or JPEG file.",
            "empty": "Letterhead logo is an empty file. Choose a PNG or JPEG file.",
            "invalid_extension": "Letterhead logo is a %(extension)s file. Choose a PNG or JPEG file.",
            "max_length": (
                "Letterhead logo has a file name of %(length)d characters. Rename it to %(max)d or fewer."
            ),
        },
    )
    remove_logo = forms.BooleanField(label="Remove the present logo", required=False)
    responsible_person = forms.CharField(
        label="Responsible welding person",
        required=False,
        max_length=120,
        help_text="Checks the numbers against the shop's own copy of the code, answers for the documents.",
        error_messages={"max_length": too_long_in_form("Responsible welding person")},
    )
    code_edition = edition_field(
        "Code edition for new records", help_text="Each record keeps the edition it was started under."
    )
    welder_edition = edition_field("Code edition for new welder tests")
    unit_order = choice_field(
        "Units",
        UnitOrder.choices,
        "Choose which units stand first.",
        "Both systems are always shown; this one stands first.",
        widget=forms.RadioSelect,
    )
    paper_language = choice_field(
        "Language of papers",
        settings.LANGUAGES,
        help_text="Of papers issued from now on; an approval can name another. Packets have their own.",
    )
    editions_used = ticks_field(
        "Code editions the shop works to",
        help_text="Shown side by side for one coupon. None ticked: every edition there is.",
    )
    allow_self_approval = forms.BooleanField(
        label="Authors may approve their own records",
        required=False,
        help_text="Leave off where a second person signs. Each approval records who did it either way.",
    )
    unsigned_in_packets = forms.BooleanField(
        label="Unsigned documents may go into packets",
        required=False,
        help_text=(
            "Off: a packet waits until every document in it has its signatures. On: it may go out without,"
            " with a reason on its cover."
        ),
    )
    photo_place = forms.BooleanField(
        label="Place for a photo on welder certificates",
        required=False,
        help_text="On: 27 × 34 mm stay free beside the welder's test.",
    )

    idle_minutes = forms.TypedChoiceField(
        label="A sign-in ends after",
        required=False,
        coerce=int,
        empty_value=None,
        choices=[(each, f"{each} minutes without doing anything") for each in IDLE_CHOICES],
        help_text="What is typed then stays on the page; one signs in over it and goes on.",
        error_messages={
            "invalid_choice": "A sign-in ends after has no “%(value)s”. Choose one of those listed."
        },
    )

    second_step = choice_field(
        "Second step of signing in",
        SecondStep.choices,
        help_text="A code from an app on the phone. Who has none yet sets it up at the next sign-in.",
    )

    timestamp_url = forms.URLField(
        label="Timestamp server",
        required=False,
        assume_scheme="https",
        help_text=(
            "Address of an RFC 3161 server that dates signatures. Empty: signatures carry this machine's own"
            " clock."
        ),
        error_messages={
            "invalid": "Timestamp server is no full address. Write it like https://time.firm.example/tsr."
        },
    )

    server_address = forms.URLField(
        label="Address of the server",
        required=False,
        assume_scheme="http",
        widget=forms.URLInput(attrs={"list": "server-addresses"}),
        error_messages={
            "invalid": "Address of the server is no full address. Write it like https://welding.firm.example."
        },
    )

    class Meta:
        model = Shop
        fields = [
            "name",
            "address",
            "phone",
            "email",
            "logo",
            "responsible_person",
            "code_edition",
            "welder_edition",
            "editions_used",
            "unit_order",
            "paper_language",
            "allow_self_approval",
            "unsigned_in_packets",
            "photo_place",
            "idle_minutes",
            "second_step",
            "timestamp_url",
            "server_address",
        ]

    def __init__(self, *args: Any, offered: Sequence[str] = (), **kwargs: Any) -> None:
        """`offered`: addresses under which the program answers other machines now."""
        super().__init__(*args, **kwargs)
        self.fields["server_address"].help_text = _address_help(offered)
        self.fields["code_edition"].choices = [("", "Not chosen"), *self._editions()]
        self.fields["welder_edition"].choices = [
            ("", "The one that goes with it"),
            *editions_for_welders(),
        ]
        self.fields["editions_used"].choices = as_choices(available_editions())
        logo_fields = ["logo", "remove_logo"]
        if not self.instance.logo:
            del self.fields["remove_logo"]
            logo_fields.remove("remove_logo")
        self.helper = layout_of(
            Fieldset("Letterhead", "name", "address", Row("phone", "email"), *logo_fields),
            Fieldset("Papers", "server_address", "paper_language", "photo_place"),
            Fieldset(
                "Responsibility",
                "responsible_person",
                "allow_self_approval",
                "unsigned_in_packets",
                "timestamp_url",
            ),
            Fieldset("Signing in", "idle_minutes", "second_step"),
            Fieldset("New records", "code_edition", "welder_edition", "unit_order"),
            Fieldset("Codes", "editions_used"),
            show_needed=True,
        )

    def _editions(self) -> list[tuple[str, str]]:
        """The editions with tables; the one already chosen stays on the list even without its tables."""
        editions = as_choices(available_editions())
        chosen = self.instance.code_edition
        if chosen and chosen not in dict(editions):
            editions.append((chosen, f"{chosen} (no tables installed)"))
        return editions

    def clean_idle_minutes(self) -> int:
        """As it was where a page that does not ask sent nothing."""
        return self.cleaned_data["idle_minutes"] or Shop.current().idle_minutes

    def clean_paper_language(self) -> str:
        """As it was where a page that does not ask sent nothing."""
        return self.cleaned_data["paper_language"] or Shop.current().paper_language

    def clean_second_step(self) -> str:
        """As it was where a page that does not ask sent nothing."""
        return self.cleaned_data["second_step"] or Shop.current().second_step

    def clean_editions_used(self) -> list[str]:
        """As a plain list; one whose tables are gone drops out."""
        return list(self.cleaned_data["editions_used"])

    def clean_server_address(self) -> str:
        """Refuse an address that would lead nobody here: it is printed on papers that last for years."""
        address = str(self.cleaned_data["server_address"]).rstrip("/")
        if not address or address == self.instance.server_address:
            return address
        if problem := problem_with(address):
            raise forms.ValidationError(problem, code="leads_nowhere")
        if not leads_here(address):
            raise forms.ValidationError(
                f"This program does not answer under {address}. Whoever runs the server opens it to other"
                " machines and names its host in CTP_HOSTS. Left empty, papers say “ask the shop”.",
                code="no_answer",
            )
        return address

    def clean_timestamp_url(self) -> str:
        """Refuse an address that no timestamp server has: this machine asks there whenever somebody signs."""
        address = str(self.cleaned_data["timestamp_url"])
        if address and (problem := problem_with_service(address)):
            raise forms.ValidationError(f"Timestamp server {problem}", code="no_service")
        return address

    def clean_logo(self) -> UploadedFile | bool | None:
        """Take PNG and JPEG only, by content: documents embed the picture, and pages serve it back."""
        logo = self.cleaned_data["logo"]
        if not isinstance(logo, UploadedFile):
            return logo
        if logo.size > LOGO_LIMIT_BYTES:
            size = logo.size / 1024 / 1024
            raise forms.ValidationError(
                f"Letterhead logo is {size:.1f} MB. Choose a file of 2 MB or less.", code="too_large"
            )
        if logo.image.format not in LOGO_SUFFIXES:
            raise forms.ValidationError(
                f"Letterhead logo is a {logo.image.format} file. Choose a PNG or JPEG file.", code="format"
            )
        refuse_too_many_pixels("Letterhead logo", logo.image)
        logo.name = f"letterhead{LOGO_SUFFIXES[logo.image.format]}"
        return logo

    def clean(self) -> dict[str, Any]:
        """A new picture and the removal of the old one contradict each other: ask instead of guessing."""
        cleaned = super().clean()
        if cleaned.get("remove_logo"):
            if isinstance(cleaned.get("logo"), UploadedFile):
                self.add_error(
                    "remove_logo",
                    "Remove the present logo is ticked and a new logo is chosen. Do one of the two.",
                )
            else:
                cleaned["logo"] = False  # ModelForm's own sign for "clear this file"
        return cleaned

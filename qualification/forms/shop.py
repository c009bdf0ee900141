"""The form for the shop's letterhead and settings."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset, Layout, Row
from django import forms
from django.core.files.uploadedfile import UploadedFile

from qualification.editions import available_editions
from qualification.models import Shop
from qualification.models.shop import UnitOrder

LOGO_LIMIT_BYTES = 2 * 1024 * 1024
LOGO_SUFFIXES = {"PNG": ".png", "JPEG": ".jpg"}


def _too_long(label: str) -> str:
    """The sentence for text over its limit; Django fills in both numbers."""
    return f"{label} is %(show_value)d characters long. Shorten it to %(limit_value)d or fewer."


class ShopForm(forms.ModelForm):
    """Everything about the shop that documents print or records start from."""

    name = forms.CharField(
        label="Shop name",
        max_length=120,
        help_text="As printed at the head of each document.",
        error_messages={
            "required": "Enter the shop name.",
            "max_length": _too_long("Shop name"),
        },
    )
    address = forms.CharField(
        label="Address",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "street-address"}),
        help_text="One line per printed line.",
    )
    phone = forms.CharField(
        label="Phone",
        required=False,
        max_length=40,
        error_messages={"max_length": _too_long("Phone")},
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
        error_messages={"max_length": _too_long("Responsible welding person")},
    )
    code_edition = forms.ChoiceField(
        label="Code edition for new records",
        required=False,
        help_text="Each record keeps the edition it was started under.",
        error_messages={
            "invalid_choice": "Code edition has no tables named %(value)s here. Choose one listed."
        },
    )
    unit_order = forms.ChoiceField(
        label="Units",
        choices=UnitOrder.choices,
        widget=forms.RadioSelect,
        help_text="Both systems are always shown; this one stands first.",
        error_messages={
            "required": "Choose which units stand first.",
            "invalid_choice": "Units has no choice %(value)s. Choose one listed.",
        },
    )
    editions_used = forms.MultipleChoiceField(
        label="Code editions the shop works to",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Shown side by side for one coupon. None ticked: every edition there is.",
        error_messages={"invalid_choice": "Code editions has no %(value)s. Choose from those listed."},
    )
    allow_self_approval = forms.BooleanField(
        label="An author may approve the own revision",
        required=False,
        help_text="Leave off where a second person signs. Each approval records who did it either way.",
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
            "editions_used",
            "unit_order",
            "allow_self_approval",
            "timestamp_url",
        ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code_edition"].choices = [("", "Not chosen"), *self._editions()]
        self.fields["editions_used"].choices = available_editions()
        logo_fields = ["logo", "remove_logo"]
        if not self.instance.logo:
            del self.fields["remove_logo"]
            logo_fields.remove("remove_logo")
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.show_needed = True
        self.helper.layout = Layout(
            Fieldset("Letterhead", "name", "address", Row("phone", "email"), *logo_fields),
            Fieldset("Responsibility", "responsible_person", "allow_self_approval", "timestamp_url"),
            Fieldset("New records", "code_edition", "unit_order"),
            Fieldset("Codes", "editions_used"),
        )

    def _editions(self) -> list[tuple[str, str]]:
        """The editions with tables; the one already chosen stays on the list even without its tables."""
        editions = available_editions()
        chosen = self.instance.code_edition
        if chosen and chosen not in dict(editions):
            editions.append((chosen, f"{chosen} (no tables installed)"))
        return editions

    def clean_editions_used(self) -> list[str]:
        """As a plain list; one whose tables are gone drops out."""
        return list(self.cleaned_data["editions_used"])

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

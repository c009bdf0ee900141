"""Forms of “My certificate”."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from qualification.forms.fields import layout_of
from wps.signing.people import LARGEST_UPLOAD, SHORTEST_PASSPHRASE, make_certificate, take_certificate
from wps.signing.sign import SigningRefused


class _CertificateForm(forms.Form):
    """What both ways share: a passphrase, and a certificate as the result."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(layout=None)

    def _make(self, person: User) -> None:
        raise NotImplementedError(f"{type(self).__name__} has to say how it makes a certificate")

    def save_for(self, person: User) -> bool:
        """Make the certificate; false, with the errors on the form, when that is refused."""
        if not self.is_valid():
            return False
        try:
            self._make(person)
        except SigningRefused as refused:
            self.add_error("passphrase", str(refused))
            return False
        return True


class MakeForm(_CertificateForm):
    """Have the shop's authority make a certificate."""

    passphrase = forms.CharField(
        label="Passphrase",
        strip=False,
        min_length=SHORTEST_PASSPHRASE,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=(
            f"At least {SHORTEST_PASSPHRASE} characters: a few words no one connects with you. It locks your"
            " key; it is kept nowhere."
        ),
        error_messages={
            "required": "Enter a passphrase.",
            "min_length": "Passphrase is %(show_value)d characters long. Make it %(limit_value)d or more.",
            "max_length": "Passphrase is %(show_value)d characters long. Make it %(limit_value)d or fewer.",
        },
    )
    again = forms.CharField(
        label="Passphrase again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": "Enter the passphrase a second time."},
    )

    prefix = "make"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("passphrase") and cleaned.get("again") and cleaned["passphrase"] != cleaned["again"]:
            self.add_error("again", "Passphrase again differs from Passphrase. Enter the same twice.")
        return cleaned

    def _make(self, person: User) -> None:
        passphrase = self.cleaned_data["passphrase"]
        if person.check_password(passphrase):
            raise SigningRefused("Passphrase is your password. Choose another: one word must not do both.")
        try:
            validate_password(passphrase, person)
        except ValidationError as weak:
            # Django's sentences speak of passwords; what they ask holds for a passphrase as well.
            raise SigningRefused(" ".join(weak.messages).replace("password", "passphrase")) from None
        make_certificate(person, passphrase)


class UploadForm(_CertificateForm):
    """Bring a certificate from another authority."""

    file = forms.FileField(
        label="PKCS#12 file",
        widget=forms.FileInput(attrs={"accept": ".p12,.pfx"}),
        help_text="The .p12 or .pfx file with key and certificate.",
        error_messages={
            "required": "Choose a PKCS#12 file.",
            "empty": "PKCS#12 file is empty. Choose the file with key and certificate.",
        },
    )
    passphrase = forms.CharField(
        label="Its passphrase",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
        help_text="Used now to look whether the file opens; it is not kept.",
        error_messages={"required": "Enter the passphrase of the file."},
    )

    prefix = "upload"

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_UPLOAD:
            raise forms.ValidationError(
                f"PKCS#12 file has {file.size} bytes. Such a file has {LARGEST_UPLOAD} or fewer; choose"
                " another."
            )
        return file

    def _make(self, person: User) -> None:
        take_certificate(person, self.cleaned_data["file"].read(), self.cleaned_data["passphrase"])

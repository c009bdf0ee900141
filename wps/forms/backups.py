"""The form for what the server backs up by itself."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from crispy_forms.layout import Fieldset
from django import forms
from django.conf import settings

from qualification.forms.fields import layout_of
from wps.backups.locked import SHORTEST, has_key
from wps.models import BackupPlan
from wps.models.backup_plan import LONGEST_DAYS, MOST_KEPT


def _number(label: str, least: int, most: int, hint: str) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=most,
        help_text=hint,
        error_messages={
            "required": f"Enter {label.lower()}.",
            "invalid": f"{label} is no whole number. Enter digits only.",
            "min_value": f"{label} is below {least}. Enter {least} or more.",
            "max_value": f"{label} is above {most}. Enter {most} or less.",
        },
    )


def _secret(label: str, hint: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=hint,
        error_messages={"max_length": f"{label} has more than 200 characters. Shorten it."},
    )


class BackupPlanForm(forms.ModelForm):
    """Where backups go, how many stay, when Today warns, and the passphrase that locks them."""

    folder = forms.CharField(
        label="Folder to copy each backup to",
        required=False,
        max_length=300,
        help_text="On another disk, with its full path. Empty: backups stay on this computer alone.",
        error_messages={
            "max_length": "Folder to copy each backup to has more than 300 characters. Shorten it."
        },
    )
    kept = _number("Backups kept", 2, MOST_KEPT, "The oldest goes when there are more.")
    warn_days = _number("Days without a backup until Today warns", 1, LONGEST_DAYS, "")
    passphrase = _secret(
        "New passphrase",
        f"At least {SHORTEST} characters. Write it down, and keep it away from this computer: without it"
        " nobody opens the backups made under it.",
    )
    repeated = _secret("New passphrase, repeated")
    unlocked = forms.BooleanField(
        label="Make backups without a passphrase from now on",
        required=False,
        help_text="Whoever finds such a file has the shop's data and keys.",
    )

    class Meta:
        model = BackupPlan
        fields = ["folder", "kept", "warn_days"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_key():
            del self.fields["unlocked"]
        self.helper = layout_of(
            Fieldset("Daily backup", "folder", "kept", "warn_days"),
            Fieldset(
                "Passphrase", "passphrase", "repeated", *(["unlocked"] if "unlocked" in self.fields else [])
            ),
        )

    def clean_folder(self) -> str:
        """Refuse a folder that cannot be written to, or that would be lost together with the shop."""
        folder = self.cleaned_data["folder"].strip()
        if not folder:
            return ""
        path = Path(folder)
        if not path.is_absolute() or not path.is_dir():
            raise forms.ValidationError(
                f"{folder} is no folder of this computer. Make it first, and enter its full path, such as"
                " /media/backup-disk/shop."
            )
        if path.resolve().is_relative_to(Path(settings.LOCAL_DIR)):
            raise forms.ValidationError(
                f"{folder} lies inside the shop's own data. Choose a folder on another disk."
            )
        if not os.access(path, os.W_OK | os.X_OK):
            raise forms.ValidationError(
                f"The program may not write to {folder}. Let the account that runs it write there."
            )
        return folder

    def clean(self) -> dict[str, Any]:
        """The passphrase twice, long enough, and not together with its removal."""
        cleaned = super().clean() or self.cleaned_data
        passphrase, repeated = cleaned.get("passphrase", ""), cleaned.get("repeated", "")
        if passphrase != repeated:
            self.add_error("repeated", "New passphrase and its repeat differ. Enter the same twice.")
        elif passphrase and len(passphrase) < SHORTEST:
            self.add_error("passphrase", f"New passphrase has fewer than {SHORTEST} characters. Lengthen it.")
        elif passphrase and cleaned.get("unlocked"):
            self.add_error("unlocked", "A new passphrase is entered as well. Do one of the two.")
        return cleaned

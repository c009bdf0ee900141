"""A welder added, or completed for a certificate, inside the form of a test: nobody leaves what is typed.

A test's form that mixes this in offers name and stamp of a welder who is not listed yet, and, where the code
states them on the certificate, day and place of birth and what identified the welder.
"""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import HTML, Div, Row
from django import forms

from qualification.forms.fields import text_field
from qualification.forms.welder import WelderForm
from qualification.models import Welder
from qualification.records.value_changes import changes_between, stored_values, values_of
from qualification.roles import Person
from qualification.welders import changes

NAME, STAMP = "new_welder_name", "new_welder_stamp"
OWN = {NAME: "name", STAMP: "stamp"}
MORE = '{% translate "Add a welder who is not listed" %}'
"""What the fold is called, for a template."""
PARTICULARS = ("born_on", "born_at", "identified_by")


class WelderInPlace(forms.BaseForm):
    """Mixed into a form with a field `welder`; a welder who is named goes before the one chosen.
    `add_welder_fields` puts the fields there, `clean_new_welder` checks them, `save_welder` stores the welder
    before the test is stored."""

    wants_particulars = False
    """True where the certificate states birth and identification."""

    def add_welder_fields(self, wants_particulars: bool = False) -> Div:
        """Add the fields; returns their place in the layout. They stand open where no welder is listed."""
        self.wants_particulars = wants_particulars
        self.fields[NAME] = text_field("Name of a welder not listed", 120)
        self.fields[STAMP] = text_field(
            "Stamp of that welder",
            20,
            help_text="The mark beside the welds; each welder has one of their own.",
        )
        if self._typed(NAME) or self._typed(STAMP):
            self.fields["welder"].required = False
        opened = " open" if self._typed(NAME) or self._typed(STAMP) or not Welder.objects.exists() else ""
        places: list[Any] = [
            HTML(f'<details class="folded"{opened}><summary>{MORE}</summary>'),
            Row(NAME, STAMP),
            HTML("</details>"),
        ]
        if wants_particulars:
            own = WelderForm()
            for name in PARTICULARS:
                self.fields[name] = own.fields[name]
                self.fields[name].initial = getattr(self._present(), name, None)
            places.append(Row(*PARTICULARS))
        return Div(*places)

    def _typed(self, name: str) -> str:
        return str(self.data.get(self.add_prefix(name), "")).strip() if self.is_bound else ""

    def _present(self) -> Welder | None:
        """The welder the form stands for before anything is typed."""
        record = getattr(self, "instance", None)
        return record.welder if record is not None and record.welder_id else None

    def clean_new_welder(self, cleaned: dict[str, Any]) -> None:
        """Check the welder typed, and put it in the place of the one chosen; nothing is stored."""
        self.stored_welder: Welder | None = None
        chosen = cleaned.get("welder")
        is_new = bool(cleaned.get(NAME) or cleaned.get(STAMP))
        if not is_new and (chosen is None or not self.wants_particulars):
            return
        welder = Welder() if is_new else chosen
        before = {} if is_new else stored_values(welder)
        typed = {own: cleaned.get(name, "") for name, own in OWN.items()} if is_new else {}
        kept = {name: getattr(welder, name) for name in ("name", "stamp", *PARTICULARS, "notes")}
        form = WelderForm({**kept, **typed, **self._particulars(cleaned)}, instance=welder)
        if not form.is_valid():
            names = {own: name for name, own in OWN.items()}
            for name, errors in form.errors.items():
                self.add_error(
                    names.get(name, name) if names.get(name, name) in self.fields else NAME, errors
                )
            return
        self.before, self.stored_welder = before, form.instance
        if is_new:
            self.errors.pop("welder", None)

    def _particulars(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        """What was typed; an empty field takes nothing away from a welder of the list."""
        return {name: cleaned[name] for name in PARTICULARS if self.wants_particulars and cleaned.get(name)}

    def save_welder(self, person: Person) -> Welder | None:
        """Store the welder as typed, with its entry in the trail; `None` where nothing about one changes."""
        welder = self.stored_welder
        if welder is None:
            return None
        is_new = welder.pk is None
        changed = changes_between(self.before, values_of(welder))
        if is_new or changed:
            welder.save()
            changes.note(
                welder, "create" if is_new else "change", person, detail=", ".join(changed), changes=changed
            )
        return welder

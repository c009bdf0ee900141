"""Forms of an edition of the shop's own: what it is, and a whole table as text."""

from __future__ import annotations

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Fieldset
from django import forms
from django.core.exceptions import ValidationError

from qualification.codes.editions import available_editions
from qualification.codes.own_tables import KNOWN, LONGEST, SOURCES
from qualification.forms.fields import choice_field, layout_of, text_field, ticks_field
from qualification.models import OwnEdition
from qualification.rules.editions.table_words import HEADINGS
from qualification.rules.variables.definition import PROCESSES
from qualification.rules.variables.metal_systems import SYSTEMS


def helper(*layout: Any) -> FormHelper:
    """A form drawn within the page's own."""
    return layout_of(*layout, disable_csrf=True)


def heading_of(file: str) -> str:
    """What a table is called."""
    stem = file.removesuffix(".toml")
    further = {"edition": "What the edition is", "sources": "Public pages", "prequalified": "Without a test"}
    return HEADINGS.get(stem) or further.get(stem) or stem.replace("_", " ").capitalize()


class NewEditionForm(forms.Form):
    """Which edition it begins from, and what the book is called."""

    code = text_field("Code", 80, "Enter the name of the code, as its cover has it.")
    edition = text_field("Edition", 30, "Enter the edition or year.", "Year or number, such as 2024.")
    title = text_field("Title", 160, "Enter what the code is about, in a few words.")
    book = text_field(
        "Which book",
        120,
        "Enter which copy the rows are read in.",
        "Title, printing and where the copy stands.",
    )
    processes = ticks_field(
        "Processes",
        [(process, process) for process in PROCESSES],
        help_text="For an empty edition; a copy has those of the edition it begins from.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        editions = [("", "Nothing: start empty"), *available_editions()]
        self.fields["parent"] = choice_field("Begin from", editions)
        systems = [("", "None"), *((key, system.label) for key, system in SYSTEMS.items())]
        self.fields["metal_groups"] = choice_field(
            "Groups of metals",
            systems,
            help_text="For an empty edition: the system by which the code groups base metals.",
        )
        self.helper = helper(
            Fieldset("The book", "parent", "code", "edition", "title", "book"),
            Fieldset("An empty edition", "processes", "metal_groups"),
        )

    def clean(self) -> dict[str, Any]:
        """An empty edition has to say its processes."""
        cleaned = super().clean() or {}
        if "parent" in cleaned and not cleaned["parent"] and not cleaned.get("processes"):
            self.add_error("processes", ValidationError("Choose at least one process for an empty edition."))
        return cleaned

    @property
    def head(self) -> dict[str, Any]:
        """What `edition.toml` says."""
        cleaned = self.cleaned_data
        said = {name: cleaned[name] for name in ("code", "edition", "title")}
        if cleaned["parent"]:
            return said
        groups = {"metal_groups": cleaned["metal_groups"]} if cleaned["metal_groups"] else {}
        return {**said, "family": "other", "processes": cleaned["processes"], **groups}


class TableTextForm(forms.Form):
    """A whole table as text."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"] = text_field(
            "Table as text (TOML)",
            LONGEST,
            "Write the table, or go back without saving.",
            "Rows of one table stand under a heading in double square brackets. Each names clause and"
            " provenance; rows you change are marked as the shop’s own.",
            widget=forms.Textarea(attrs={"rows": 24, "spellcheck": "false", "class": "mono"}),
        )
        self.helper = helper("text")


class TakeTableForm(forms.Form):
    """A whole table of another edition."""

    def __init__(self, own: OwnEdition, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        files = [(file, heading_of(file)) for file in KNOWN if file not in ("edition.toml", SOURCES)]
        others = [each for each in available_editions() if each[0] != own.key]
        self.fields["edition"] = choice_field("Code edition", [("", "Choose"), *others], "Choose an edition.")
        self.fields["file"] = choice_field(
            "Table",
            [("", "Choose"), *files],
            "Choose a table.",
            help_text="It takes the place of the one this edition has. Rows keep their clauses and sources.",
        )
        self.helper = helper("edition", "file")

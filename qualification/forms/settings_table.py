"""The control for settings by size of electrode: a small table, a row for each diameter.

It is stored as the text that `rules/entries/settings_rows.py` reads, so that a table, a line typed elsewhere
and a JSON file say the same. There are always rows left to fill; saving brings more.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.template.loader import render_to_string
from django.utils.datastructures import MultiValueDict
from django.utils.safestring import SafeString

from qualification.rules.core.quantities import DIMENSIONS
from qualification.rules.entries.settings_rows import COLUMNS, SIZE, cells_of, text_of

HEADS = {SIZE: "Diameter", "amps": "Amps", "volts": "Volts", "wire_feed": "Wire feed"}
AT_LEAST, MOST = 3, 12
"""Rows shown, and taken."""


class SettingsTable(forms.Widget):
    """Inputs named `NAME.ROW.COLUMN`; the text under `NAME` alone is what is stored."""

    def __init__(self, system: str) -> None:
        super().__init__()
        self.system = system

    def value_from_datadict(
        self, data: Mapping[str, Any] | MultiValueDict[str, str], files: Any, name: str
    ) -> str:
        """The text of the table as posted, or the text as stored."""
        rows = [
            {key: str(data.get(f"{name}.{row}.{key}", "")) for key in HEADS}
            for row in range(MOST)
            if any(f"{name}.{row}.{key}" in data for key in HEADS)
        ]
        return text_of(rows, self.system) if rows else str(data.get(name, ""))

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        return name not in data and f"{name}.0.{SIZE}" not in data

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        stated = cells_of(str(value or ""), self.system)[:MOST]
        shown = [*stated, *({} for _ in range(max(1, AT_LEAST - len(stated))))][:MOST]
        units = {SIZE: "length", **COLUMNS}
        context = {
            "heads": [
                (label, DIMENSIONS[units[key]].unit_for(self.system).symbol) for key, label in HEADS.items()
            ],
            "rows": [
                [
                    {
                        "name": f"{name}.{row}.{key}",
                        "id": (attrs or {}).get("id", "") if (row, key) == (0, SIZE) else "",
                        "label": f"{label}, row {row + 1}",
                        "value": cells.get(key, ""),
                    }
                    for key, label in HEADS.items()
                ]
                for row, cells in enumerate(shown)
            ],
            "described_by": {**self.attrs, **(attrs or {})}.get("aria-describedby", ""),
        }
        return render_to_string("entries/settings_table.html", context)

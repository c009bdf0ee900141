"""The sheet a welder keeps at the arc: one procedure in large type, the settings with the span one may move
in, what to do before and between passes, and whether the revision is in force. Arrangement of the record's
content; nothing is judged."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from qualification.models import State
from qualification.rules.variables.registry import registry
from qualification.tongues.languages import ENGLISH, speaking
from wps.documents.bands import sheet_of
from wps.documents.cautions import WHO_DECIDES, cautions_of
from wps.documents.codes import mark_of
from wps.documents.context import content_of, sketch_context
from wps.documents.entry_values import is_written
from wps.documents.iso_terms import TERMS, in_terms_of
from wps.documents.issue import Document, filename_of, paper_of
from wps.documents.kinds import document_for
from wps.documents.render import lay_out
from wps.documents.settings_table import Settings
from wps.models import Part, Spec

TEMPLATE = "documents/shop_sheet.html"
FIRST, BETWEEN, BESIDE = (
    ("joint_preparation", "fit_up", "cleaning", "preheat_min", "backing_material", "filler_handling"),
    (
        "interpass_max",
        "run_sequence",
        "bead",
        "weave_width",
        "back_gouging",
        "peening",
        "preheat_maintenance",
        "pwht",
    ),
    (
        "filler_classification",
        "filler_diameter",
        "shielding_gas",
        "shielding_flow",
        "backing_gas",
        "backing_gas_flow",
        "cup_size",
        "current_type",
        "transfer_mode",
        "tungsten_type",
        "tungsten_diameter",
        "test_position",
        "position",
        "progression",
        "contact_tube_distance",
        "torch_angle",
        "max_pass_thickness",
    ),
)
"""What is done before the arc and between passes, and what stands beside the sketch, by variable."""


NOTHING = frozenset(("none", "no", "no gas", "not applicable"))
"""Answers that ask nothing of the welder."""
LARGE = frozenset(
    said
    for key in ("amps", "volts", "wire_feed", "travel_speed")
    for said in (registry()[key].label, TERMS.get(registry()[key].label))
)
"""Columns in large type. What else is set stands in a line below."""
LAYOUTS = ((True, False), (True, True), (False, True))
"""With welding symbols or without, and set tight or not: what is tried until the sheet is one page. One that
never is says on its first page that it goes on."""


@dataclass(frozen=True)
class Step:
    """One thing to do or to hold, of one process line or of all."""

    label: str
    words: str
    process: str = ""
    is_written: bool = False


@dataclass(frozen=True)
class SetRow:
    """What is set for one process line: large numbers under the heads, and the rest in words."""

    process: str
    part: str
    values: tuple[str, ...]
    also: tuple[str, ...]


@dataclass(frozen=True)
class ShopSheet:
    """What the sheet prints. `heads` are (label, unit) of the large numbers."""

    metals: tuple[str, ...]
    beside: tuple[Step, ...]
    heads: tuple[tuple[str, str], ...]
    rows: tuple[SetRow, ...]
    first: tuple[Step, ...]
    between: tuple[Step, ...]
    cautions: tuple[str, ...]


def shop_sheet(content: Mapping[str, Any]) -> ShopSheet:
    """The sheet of a procedure's content."""
    settings = sheet_of(content).settings
    return ShopSheet(
        _metals(content),
        tuple(_steps(content, BESIDE)),
        _heads(settings),
        tuple(_set_rows(settings)),
        tuple(_steps(content, FIRST)),
        tuple(_steps(content, BETWEEN)),
        tuple(each for each in cautions_of(content) if each != WHO_DECIDES),
    )


def _is_large(head: tuple[tuple[str, str], ...]) -> bool:
    return len(head) == 1 and head[0][0] in LARGE


def _heads(settings: Settings) -> tuple[tuple[str, str], ...]:
    return tuple(head[0] for head in settings.heads if _is_large(head))


def _set_rows(settings: Settings) -> Iterable[SetRow]:
    for row in settings.rows:
        large, also = [], []
        for head, cell in zip(settings.heads, row.cells, strict=True):
            for (label, unit), setting in zip(head, cell, strict=True):
                if _is_large(head):
                    large.append(setting.value if setting else "—")
                elif setting:
                    also.append(f"{label} {setting.value} {unit}".strip())
        yield SetRow(row.process, row.part, tuple(large), tuple(also) if row.words else ())


def _metals(content: Mapping[str, Any]) -> tuple[str, ...]:
    """Metal and thickness of each side, once where both are the same."""
    found: dict[str, dict[str, str]] = {}
    for row in _rows(content):
        for side in ("a", "b"):
            if row["key"] in (f"base_metal_{side}", f"thickness_{side}"):
                found.setdefault(side, {})[row["key"][:-2]] = _first_unit(row)
    sides = [", ".join(each.values()) for each in found.values()]
    return tuple(dict.fromkeys(sides))


def _steps(content: Mapping[str, Any], keys: Iterable[str]) -> Iterable[Step]:
    """Entries of these variables in that order; of several process lines each says whose it is."""
    several = len({group["line"] for group in content["entered"] if group["line"] is not None}) > 1
    for key in keys:
        told = [
            (group, row)
            for group in content["entered"]
            for row in group["rows"]
            if row["key"] == key and row["words"].casefold() not in NOTHING
        ]
        alike = len({row["words"] for _, row in told}) == 1
        for group, row in told[:1] if alike else told:
            process = group["process"] if several and group["line"] is not None and not alike else ""
            yield Step(row["label"], _first_unit(row), process, is_written(row))


def _first_unit(row: Mapping[str, Any]) -> str:
    """The entry in the record's unit alone: at the arc one number is read, not two."""
    words = str(row["words"])
    return words.split(" (")[0] if row["is_number"] and words.endswith(")") else words


def _rows(content: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
    return (row for group in content["entered"] for row in group["rows"])


def sheet_context(spec: Spec, weld: Part | None = None, *, symbols: bool = True) -> dict[str, Any]:
    """What page and paper show of the sheet, for one weld of a job where it is named; with `symbols` each of
    several joints has its welding symbol."""
    content, issued = in_terms_of(content_of(spec)), document_for(spec)
    return {
        "content": content,
        "reference": f"{spec.number} rev {spec.revision}",
        "sheet": shop_sheet(content),
        **sketch_context(content, symbols=symbols),
        "mark": mark_of(issued.code) if issued else None,
        "warning": warning_of(spec),
        "in_force": _in_force(spec),
        "weld": weld,
    }


def warning_of(spec: Spec) -> str:
    """What the black strip says of a revision that is not in force; empty for the one that is."""
    if spec.state == State.APPROVED:
        return ""
    if spec.state == State.SUPERSEDED:
        later = _in_force(spec)
        by = f" by rev {later.revision}, {later.approved_at:%Y-%m-%d}" if later and later.approved_at else ""
        return f"SUPERSEDED{by}. Do not weld to this sheet."
    return f"{spec.get_state_display().upper()}, not in force. Do not weld to this sheet."


def _in_force(spec: Spec) -> Spec | None:
    return Spec.objects.filter(number=spec.number, state=State.APPROVED).exclude(pk=spec.pk).first()


def shop_sheet_pdf(
    spec: Spec, paper: str | None, weld: Part | None = None, language: str = ENGLISH
) -> Document:
    """The sheet as PDF in the language, made anew each time it is wanted."""
    with speaking(language):
        for symbols, tight in LAYOUTS:
            context = {**sheet_context(spec, weld, symbols=symbols), "tight": tight}
            content = context["content"]
            made = lay_out(TEMPLATE, context, paper or paper_of(content))
            if made.pages == 1:
                break
        else:
            made = lay_out(TEMPLATE, {**context, "turn_over": True}, paper or paper_of(content))
    return Document(made.written(content).pdf, filename_of(f"{spec.number}-shop-floor", spec.revision))

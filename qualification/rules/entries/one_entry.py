"""One entry as typed to its value, or refused in words; what one entry says of another is in `reading.py`."""

from __future__ import annotations

import re
from contextlib import suppress

from ..core.gases import GasError
from ..core.quantities import SI, US, QuantityError, show_both, show_interval
from ..core.values import MISSING, NOT_APPLICABLE, Interval, Stated
from ..materials.catalogue import (
    find_filler,
    find_metal,
    group_named,
    read_metal,
)
from ..materials.gas_notation import GasReading, read_gas_entry
from ..materials.group_names import GroupError, GroupName
from ..materials.iso_designations import bare_designation
from ..materials.iso_fillers import written
from ..materials.spelling import classes_in, remark_on_equivalent
from ..variables.choice_words import asked_about, choice_named, choices_named
from ..variables.definition import RecordKind, ValueKind, Variable
from . import settings_rows
from .bare_numbers import asks_for_unit, is_beyond_what_is_taken
from .completing import LONGEST, Entry, pieces
from .notation import OUTSIDE, WALL, Manner, Measure, read_measure

NOT_APPLICABLE_WORDS = frozenset({"n/a", "na", "n.a.", "not applicable"})
_WITH_A_REMARK = re.compile(r"(?:n/a|n\.a\.|not applicable) ?[(,:–-][^\d;]{1,40}", re.IGNORECASE)
"""`N/A (plate)`; a remark that holds a number might state one."""
LONGEST_TEXT = 4000
"""Characters an entry of free text may have."""


class EntryError(ValueError):
    """One entry could not be read; the message says how to write it."""


def says_not_applicable(text: str) -> bool:
    """True for `n/a` in any of its spellings, with or without a remark behind it."""
    plain = text.strip()
    return plain.lower() in NOT_APPLICABLE_WORDS or bool(_WITH_A_REMARK.fullmatch(plain))


def plain(entry: Entry) -> str:
    """An entry as one text."""
    return entry if isinstance(entry, str) else "; ".join(entry)


def understood_as(entry: Entry, definition: Variable, use: RecordKind, system: str) -> str:
    """How an entry was understood that is not written as it is understood: `6061, temper T6` for `6061-T6`,
    `SA-36` for `A36`, and that words such as “as required” state no number. Empty where both are the same,
    and for numbers and gases, whose reading is said from their value. Raises EntryError."""
    if definition.kind is ValueKind.NUMBER:
        return _stated_words(entry, definition, use, system)
    if definition.key == settings_rows.KEY and texts_of(entry):
        said = _settings("; ".join(texts_of(entry)), system)
        return "" if said == plain(entry).strip() else said
    if definition.kind is ValueKind.METAL:
        words = [_metal_words(text) for text in _several(entry)]
    elif definition.kind in (ValueKind.FILLER, ValueKind.DESIGNATION):
        texts = _several(entry)
        if definition.kind is ValueKind.FILLER:
            texts = [one for text in texts for one in _either(text)]
            texts = [name for text in texts for name in _classes(text, use in definition.many)]
        words = [_choice(text, definition) + remark_on_equivalent(text) for text in texts]
    elif definition.kind is ValueKind.GAS:
        texts = [entry] if isinstance(entry, str) else list(entry)
        read = [_gas(text) for text in texts if text.strip() and not says_not_applicable(text)]
        return "; ".join(gas.words for gas in read) if any(gas.remark or gas.group for gas in read) else ""
    elif definition.kind is ValueKind.CHOICE:
        words = [definition.choice_label(key) for key in _named(entry, definition, use)]
        own = {name.casefold() for choice in definition.choices for name in (choice.key, choice.label)}
        if all(text.casefold() in own for text in _several(entry)):
            return ""
    else:
        return ""
    said = "; ".join(words)
    return "" if said == plain(entry).strip() else said


def texts_of(entry: Entry) -> list[str]:
    """The texts of an entry, leaving out blanks and “n/a”."""
    texts = [entry] if isinstance(entry, str) else list(entry)
    return [text for text in texts if text.strip() and not says_not_applicable(text)]


def _stated_words(entry: Entry, definition: Variable, use: RecordKind, system: str) -> str:
    text = plain(entry).strip()
    if not text or says_not_applicable(text):
        return ""
    found = _measure(text, definition, use, system)
    if found.limit is not None:
        return f"{show_both(found.limit, str(definition.dimension), system)}: a limit, not what was welded"
    return "stated in words, which set no limit" if found.interval is None else ""


def _several(entry: Entry) -> list[str]:
    parts = [entry] if isinstance(entry, str) else list(entry)
    parts = [part.strip() for part in parts if part.strip()]
    if len(parts) != 1:
        return parts
    return [] if says_not_applicable(parts[0]) else pieces(parts[0])


def _named(entry: Entry, definition: Variable, use: RecordKind) -> list[str]:
    """Keys of the choices an entry names, in its order."""
    return [key for text in _several(entry) for key in choices_named(definition, text, use)]


def _metal_words(text: str) -> str:
    group, named = group_named(text), read_metal(text)
    if group is not None:
        return f"{group.words}, any metal of it"
    return (named.words if named else " ".join(text.split())) + remark_on_equivalent(text)


def read_entry(entry: Entry, definition: Variable, use: RecordKind, system: str) -> Stated:
    """One entry as a value. Raises EntryError with how to write it."""
    parts = [entry] if isinstance(entry, str) else list(entry)
    parts = [part.strip() for part in parts if part.strip()]
    if not parts:
        return MISSING
    _check_length(parts, definition)
    if len(parts) == 1 and says_not_applicable(parts[0]):
        return NOT_APPLICABLE
    if definition.kind is ValueKind.NUMBER:
        return _number("; ".join(parts), definition, use, system)
    if definition.key == settings_rows.KEY:
        return _settings("; ".join(parts), system)
    if definition.kind is ValueKind.TEXT:
        return " ".join(" ".join(parts).split())
    return _choices(parts, definition, use)


def _settings(text: str, system: str) -> str:
    """Rows of settings in words, which read back as the same rows in either unit system."""
    try:
        return settings_rows.say_rows(settings_rows.read_rows(text, system), system)
    except QuantityError as error:
        raise EntryError(str(error)) from error


def _check_length(parts: list[str], definition: Variable) -> None:
    most = LONGEST_TEXT if definition.kind is ValueKind.TEXT else LONGEST
    length = sum(map(len, parts))
    if length > most:
        raise EntryError(
            f"is {length} characters long; write at most {most}. Keep notes in a field for notes."
        )


RECORDED = frozenset({RecordKind.TEST, RecordKind.WELDER_TEST, RecordKind.TRIAL})
DESIGNED = frozenset({"groove_angle", "root_opening", "root_face"})
"""Dimensions of the joint's design, of which a record may state the tolerance."""
OF_THE_PIECE = frozenset(
    {
        "thickness_a",
        "thickness_b",
        "diameter",
        "deposit_thickness",
        "fillet_size",
        "throat",
        "filler_diameter",
        "tungsten_diameter",
    }
)
"""Sizes that are measured: a record states each as it is, and no limit in its place."""
_SIZES = {"diameter": OUTSIDE, "thickness_a": WALL, "thickness_b": WALL}


def _measure(text: str, definition: Variable, use: RecordKind, system: str) -> Measure:
    """A number as its field takes it. Raises EntryError."""
    manner = Manner(
        use in definition.many,
        use in RECORDED,
        definition.bound,
        _SIZES.get(definition.key, ""),
        definition.zero,
        definition.key,
        definition.key in DESIGNED,
        definition.key not in OF_THE_PIECE | DESIGNED,
    )
    try:
        return read_measure(text, str(definition.dimension), system, manner)
    except QuantityError as error:
        raise EntryError(str(error)) from error


def _number(text: str, definition: Variable, use: RecordKind, system: str) -> Stated:
    found = _measure(text, definition, use, system).interval
    if found is None:
        return MISSING  # words that limit nothing are no number
    if (
        found.low == 0
        and found.high == 0
        and not definition.zero
        and definition.dimension not in ("temperature", "voltage", "number")
    ):
        raise EntryError(f"“{text}” is zero. Enter a number above zero, or n/a if it does not apply.")
    plausible = definition.plausible_interval
    ends = [Interval.point(end) for end in (found.low, found.high) if end is not None]
    if plausible is not None and not all(end.within(plausible) for end in ends):
        span = show_interval(plausible, str(definition.dimension), system)
        other = show_interval(plausible, str(definition.dimension), SI if system == US else US)
        limits = span if span == other else f"{span} ({other})"
        raise EntryError(
            f"“{text}” lies outside what this field takes, {limits}."
            + (_asks_for_mm(text, definition, system, plausible) or " Check the number and its unit.")
        )
    if system == US and is_beyond_what_is_taken(definition.key, found):
        si = None
        with suppress(EntryError):
            si = _measure(text, definition, use, SI).interval
        if question := asks_for_unit(text, definition, found, si):
            raise EntryError(question)
    return found


_CUP_OR_BORE = re.compile(r"\d{1,2}(?: ?(?:-|–|to) ?\d{1,2})?")


def _asks_for_mm(text: str, definition: Variable, system: str, plausible: Interval) -> str:
    """A question where a bare number of a record in inches is a fit number of millimeters."""
    said = text.strip()
    if definition.key == "cup_size" and system == US and _CUP_OR_BORE.fullmatch(said):
        return f" Cups go by number and by bore: write #{said} for the number, {said} mm for the bore."
    if system != US or definition.dimension != "length" or re.search(r"[A-Za-z\"″”]", text):
        return ""
    with suppress(QuantityError):
        metric = read_measure(text, "length", SI, Manner(bool(definition.many))).interval
        if metric is not None and metric.within(plausible):
            return f" If it is in millimeters, write {said} mm."
    return ""


def _group(text: str) -> GroupName | None:
    try:
        return group_named(text)
    except GroupError as error:
        raise EntryError(str(error)) from error


def _choices(parts: list[str], definition: Variable, use: RecordKind) -> Stated:
    wanted = (
        parts
        if len(parts) > 1 or definition.kind is ValueKind.GAS
        else [p.strip() for p in parts[0].split(";") if p.strip()]
    )
    if definition.kind is ValueKind.METAL:
        groups = [group for piece in wanted if (group := _group(piece)) is not None]
        if groups and (len(groups) < len(wanted) or len({group.system for group in groups}) > 1):
            raise EntryError("name metals, or groups of one system, not some of each.")
        if groups:
            return MISSING  # a group names no metal; it is read under its own variable
    if definition.kind is ValueKind.CHOICE:
        wanted = [key for piece in wanted for key in choices_named(definition, piece, use) or [piece]]
    if definition.kind is ValueKind.FILLER:
        wanted = [one for piece in wanted for one in _either(piece)]
        wanted = [name for piece in wanted for name in _classes(piece, use in definition.many)]
    found = [_choice(piece, definition) for piece in wanted]
    if definition.kind is ValueKind.GAS and not all(found):
        if any(found):
            raise EntryError("state a composition for each gas, or a group of ISO 14175 for each.")
        return MISSING  # a group of ISO 14175 names no mixture; it is read as the group
    if len(set(found)) > 1 and use not in definition.many:
        raise EntryError(f"names {len(set(found))} things; a {use.value} states one.")
    return frozenset(found)


_BETWEEN_FILLERS = re.compile(r" or | and | ?& ?|, ")


def _either(text: str) -> list[str]:
    """The fillers of a text that names several, `ER308L or ER316L`; the text itself unless all are known."""
    parts = [part.strip() for part in _BETWEEN_FILLERS.split(text) if part.strip()]
    return parts if len(parts) > 1 and all(find_filler(part) for part in parts) else [text]


_DUAL = re.compile(r"(ER?\d{3}) \1L")
"""A filler that meets two classifications of one alloy: `ER308/308L`."""


def _classes(text: str, several: bool) -> list[str]:
    """The names of a filler that is classified twice; of one, on a record that states one, the first, which
    claims no more than both."""
    names = classes_in(text) if find_filler(text) is None else []
    known = [find_filler(name) for name in names]
    if not names or None in known:
        return [text]
    alike = len({name.rpartition("-")[0] for name in names}) == 1 and "-" in names[0]
    alike = alike or _DUAL.fullmatch(" ".join(name.partition("-")[0] for name in names)) is not None
    return names if several or not alike else names[:1]


def _gas(text: str) -> GasReading:
    try:
        return read_gas_entry(text)
    except GasError as error:
        raise EntryError(str(error)) from error


def _choice(text: str, definition: Variable) -> str:
    if definition.kind is ValueKind.GAS:
        return _gas(text).key
    if definition.kind is ValueKind.METAL:
        metal = find_metal(text)
        return metal.key if metal else " ".join(text.split())
    if definition.kind is ValueKind.FILLER:
        filler = find_filler(text)
        return filler.key if filler else bare_designation(" ".join(text.split()))
    if definition.kind is ValueKind.DESIGNATION:
        return written(text)
    if found := choice_named(definition, text):
        return found
    if asked := asked_about(definition, text):
        raise EntryError(f"“{text}” {asked}")
    names = ", ".join(choice.label for choice in definition.choices[:12])
    more = "" if len(definition.choices) <= 12 else ", …"
    raise EntryError(f"“{text}” is not one of the choices: {names}{more}.")

"""Other words by which records of the trade state a choice: `DCRP`, `TIG`, `open root`, `V-groove`, `uphill`.

Each stands for one choice and for no other. Words that leave a choice open (backing “yes”, PWHT “yes”) are
not here: they are refused, and the message lists the choices.
"""

from __future__ import annotations

import re
from functools import lru_cache

from .definition import RecordKind, ValueKind, Variable

_WORDS: dict[str, dict[str, str]] = {
    "process": {
        "SMAW": "stick; mma; mmaw; 111; shielded metal arc; shielded metal arc welding",
        "GMAW": (
            "mig; mag; mig/mag; 131; 135; 138; gmaw-s; gmaw-p; gmaw-sp; gas metal arc; gas metal arc "
            "welding; mcaw"
        ),
        "FCAW": "fcaw-g; fcaw-s; 136; 114; flux cored arc; flux-cored; flux cored arc welding",
        "GTAW": "tig; 141; 142; wig; gtaw-p; gas tungsten arc; gas tungsten arc welding",
        "SAW": "121; sub arc; subarc; submerged arc",
    },
    "operation": {
        "manual": "hand",
        "semiautomatic": "semi automatic; semi auto; semi; partly mechanized; partly mechanised",
        "machine": "mechanized; mechanised; fully mechanized",
        "automatic": "auto; robotic; robot",
    },
    "part_of_joint": {
        "root": "root pass",
        "fill": "fill; cap; fill & cap; fill/cap; fill passes",
        "whole": "complete; entire joint; all passes; root through cap",
        "back": "back pass; backweld",
    },
    "backing": {
        "none": (
            "without; without backing; w/o backing; no; no backing; open root; open; ss nb; nb; ss gb; "
            "gb; ss, nb; ss, gb; w/o; none fillet; no backing used"
        ),
        "metal": (
            "strip; ring; backing strip; backing ring; steel; steel strip; steel backing; aluminum "
            "strip; aluminum backing; aluminum backing strip; permanent backing; copper; with (steel); "
            "yes steel; yes (steel); with steel; permanent steel; aluminum; alum; ss, mb; with strip; "
            "copper bar; copper backing; stainless strip; permanent steel backing; steel backing strip; "
            "metal strip; backing bar; ss mb; mb"
        ),
        "flux": "ss fb; fb; flux",
        "weld_metal": "weld metal; weld; with (weld metal); with weld metal",
        "base_metal": "base metal; base material",
        "both_sides": "bs; both sides; double welded; welded both sides; double sided; bs gg; bs ng",
    },
    "transfer_mode": {
        "short_circuit": (
            "short circuit; short circuiting transfer; short arc; gmaw-s; dip; dip transfer; short "
            "circuit transfer; sc"
        ),
        "globular": "globular transfer",
        "spray": "spray arc; spray transfer; axial spray",
        "pulsed_spray": (
            "pulsed; pulse; synergic pulse; synergic pulsed; gmaw-p; pulse spray; pulsed arc; spray "
            "pulsed; pulsed spray transfer"
        ),
    },
    "current_programme": {
        "steady": "non pulsed; not pulsed; constant",
        "pulsed": "pulse",
    },
    "current_type": {
        "DCEP": (
            "dcrp; dc+; dc +; dc (+); dc ep; dcep (rp); dcep (+); dc/ep; dc, ep; dc: ep; dc:ep; ep; rp; "
            "+; reverse; reverse polarity; electrode positive; dc positive; dc electrode positive; dc "
            "reverse; dc reverse polarity; dcrp (ep); dc/rp; dc electrode +; rev. polarity; rev "
            "polarity; =/+; = / +; dc/+; dc / +; direct, reverse; direct reverse; dcep/rp; = (+); =+; = "
            "+; dcep, reverse; dc (ep); dc rp"
        ),
        "DCEN": (
            "dcsp; dc-; dc -; dc (-); dc en; dcen (sp); dcen (-); dc/en; dc, en; dc: en; dc:en; en; sp; "
            "straight; straight polarity; electrode negative; dc negative; dc electrode negative; dc "
            "straight; dc straight polarity; dcsp (en); dc/sp; dc electrode -; =/-; = / -; dc/-; dc / "
            "-; direct, straight; direct straight; dcen/sp; = (-); =-; = -; dc (en); dc sp"
        ),
        "AC": (
            "~; ac hf; achf; ac (hf); ac/hf; alternating; alternating current; ac square wave; ac "
            "(square wave); ac, square wave; ac balanced"
        ),
    },
    "progression": {
        "up": (
            "uphill; up hill; vertical up; v up; vu; upwards; vertical uphill; ascending; bottom to "
            "top; v↑; ↑; vertical (up)"
        ),
        "down": (
            "downhill; down hill; vertical down; v down; vd; downwards; vertical downhill; descending; "
            "top to bottom; v↓; ↓; vertical (down)"
        ),
    },
    "bead": {
        "stringer": (
            "string; stringers; stringer bead; stringer beads; string bead; string beads; no weave; "
            "stringer only; stringers only; multi pass stringers"
        ),
        "weave": "weaving; weave bead; weaved; slight weave; light weave",
    },
    "groove_type": {
        "square": "i; square butt; square groove; i groove; sq; sq butt; square edge",
        "v": (
            "single vee; vee; v groove; single v groove; single vee groove; v butt; single v butt; open "
            "root single v; open root v; single v open root; 60 v; y; sv; single v, open root"
        ),
        "double_v": "double vee; x; double v groove; dv; double vee groove",
        "bevel": "hv; single bevel groove; bevel groove; 1/2 v; half v",
        "double_bevel": "k; double bevel groove",
        "u": "u groove; single u groove",
        "double_u": "double u groove",
        "j": "j groove; single j groove",
        "double_j": "double j groove",
        "flare_v": "flare vee; flare v groove",
        "flare_bevel": "flare bevel groove",
    },
    "joint_form": {
        "butt": "b; bw; butt joint; butt weld; butt jt",
        "tee": "t; t joint; tee joint; t jt; tee jt",
        "corner": "c; corner joint; outside corner; corner jt",
        "lap": "l; lap joint",
        "edge": "e; edge joint",
    },
    "weld_type": {
        "groove": (
            "bw; butt; butt weld; groove weld; cjp groove; pjp groove; groove (butt); v groove; cjp; pjp"
        ),
        "fillet": "fw; fillet weld",
        "plug": "plug weld",
        "slot": "slot weld",
        "tack": "tack weld; tacks; tack welds",
        "overlay": "cladding; clad; corrosion resistant overlay; weld overlay; weld metal overlay; cro",
        "hard_facing": "hard facing; hardfacing; hard-facing; wear-resistant overlay",
        "tube_to_tubesheet": "tube-to-tubesheet; tube to tube sheet; tubesheet; tts",
        "stud": "stud weld; stud welding",
    },
    "penetration": {
        "complete": "cjp; cp; fp; full; full penetration; complete penetration; 100%; 100 %",
        "partial": "pjp; pp; partial penetration",
    },
    "sides_welded": {
        "one": "ss; single; single side; one side only; 1 side; 1; one-sided; single sided",
        "both": "bs; double; from both sides; double side; two sides; two; 2 sides; 2; double sided",
    },
    "back_gouging": {
        "none": "no; not used; n; not required",
        "grinding": (
            "grind; ground; grind to sound metal; back grind; grinding to sound metal; mechanical "
            "(grinding); grind to clean metal; grind to bright metal; back grinding; mechanical "
            "grinding; grinder"
        ),
        "machining": (
            "chipping; back chip; chip; milling; sawing; machine; saw; router; routing; carbide cutter; "
            "circular saw"
        ),
        "arc": (
            "arc gouge; arc gouge and grind; air arc and grind; arc air and grind; gouge and grind; air "
            "arc; arc air; air carbon arc; carbon arc; cac-a; aag; acag"
        ),
    },
    "retainer": {
        "none": "no; not used; n",
        "used": "yes; ceramic; ceramic backing; nonmetallic",
    },
    "pwht": {
        "none": (
            "no; as welded; not required; none required; not performed; not done; nil; n; no pwht; none "
            "applied"
        ),
    },
    "product_form": {
        "plate": (
            "p; sheet; bar; flat bar; profile; extrusion; shape; angle; channel; beam; structural "
            "shape; shapes; structural"
        ),
        "pipe": "t; tube; tubing; pipe/tube; round tube",
    },
    "peening": {
        "no": "n; none; not used; not permitted; not allowed; none permitted; none allowed",
    },
    "passes_per_side": {
        "single": "sl; single layer; one",
        "multiple": (
            "ml; multi; multipass; multi pass; multiple pass; multiple passes; multi layer; several"
        ),
    },
    "electrodes": {
        "single": "1; single; one electrode",
        "multiple": "2; two; twin; tandem",
    },
    "filler_form": {
        "solid": "solid wire; bare; bare wire; bare rod; rod; solid rod",
        "metal_cored": "metal core; metal cored wire",
        "flux_cored": "flux core; flux cored wire",
    },
    "position": {
        "flat": "f; down hand; downhand",
        "horizontal": "h; horiz",
        "vertical": (
            "v; vert; v up; vertical up; v down; vertical down; v (up); vertical (up); v (down); "
            "vertical (down)"
        ),
        "overhead": "o; oh; o/h",
    },
}
"""Words for each choice, between semicolons."""
_BOTH = frozenset({"both", "all", "either", "any"})
"""Words for every choice, where a record may claim several."""
_WITH_OR_WITHOUT = frozenset({"with or without", "with/without", "with and without", "with or w/o"})
"""How a procedure claims every backing there is, and none."""
_ASKED = {
    ("backing", "sa"): (
        "may stand for a strip of the same alloy, and for other things. Write what lies behind the root, for"
        " example metal strip, weld metal or none."
    ),
}
"""Short forms of the trade that mean several things: what to write in their place."""
_MAY_BE_ALL = frozenset({"position", "progression", "bead", "passes_per_side", "groove_type", "joint_form"})
_NUMBERED = {
    "f_number": re.compile(
        r"\Af?(?:[ -]*(?:no|number|nr|#))?[ .:#-]*+(?P<number>\d{1,2})(?: ?\(?f[ -]*(?P=number)\)?)?"
    ),
    "a_number": re.compile(
        r"\Aa?(?:[ -]*(?:no|number|nr|#))?[ .:#-]*+(?P<number>\d{1,2})(?: ?\(?a[ -]*(?P=number)\)?)?"
    ),
}
_NUMBERED |= {
    f"{letter}_number": re.compile(
        rf"\A{letter}?(?:[ -]*(?:no|number|nr|#))?[ .:#-]*+(?P<number>\d{{1,2}}[a-z]?)"
    )
    for letter in "pms"
}
_SEPARATOR = re.compile(r"[,;/&+]|\band\b|\bor\b", re.IGNORECASE)
_ONLY = re.compile(r" only$", re.IGNORECASE)
_ALL_WORDS = re.compile(r"^all(?: positions?)?(?: ?\(.*\))?$")
ALL_BUT_DOWN = re.compile(
    r"all(?: positions)? (?:except|but) "
    r"(?:PG(?: ?(?:,|and|&) ?PJ)?|v(?:ertical)?[ -]?down(?:hill|ward)?|downhill)",
    re.IGNORECASE,
)
"""Every position, and vertical welds upward."""
_YES_NO = {
    "yes": "y; used",
    "no": "n; none; not used; not permitted; not allowed; none used; without; not required",
}


def _form(text: str) -> str:
    """One form for words that differ in case, hyphens and a closing stop."""
    plain = " ".join(text.translate({0x2212: "-", 0x2013: "-"}).casefold().split()).rstrip(".")
    return re.sub(r"(?<=\w)[ _-]+(?=\w)", " ", plain)


@lru_cache(maxsize=256)
def _by_form(variable: Variable) -> dict[str, str]:
    words = _WORDS.get(variable.key, {})
    if not words and {choice.key for choice in variable.choices} == {"yes", "no"}:
        words = _YES_NO
    found = {_form(word): key for key, texts in words.items() for word in texts.split("; ")}
    return found | {_form(name): c.key for c in variable.choices for name in (c.label, c.key)}


def choice_named(variable: Variable, text: str) -> str:
    """Key of the one choice a text names; empty where it names none."""
    if len(text) > 120:
        return ""
    form = _form(text)
    if found := _by_form(variable).get(form):
        return found
    if named := _two_names_of_one(variable, form):
        return named
    if variable.key == "passes_per_side" and (match := _PASSES.fullmatch(form)):
        return "single" if int(match[1]) == 1 else "multiple"
    numbered = _NUMBERED.get(variable.key.removesuffix("_a").removesuffix("_b"))
    if numbered and (match := numbered.fullmatch(form)):
        keys = {choice.key for choice in variable.choices}
        return next((key for key in keys if key.casefold() == match["number"]), "")
    return ""


_IN_BRACKETS = re.compile(
    r"(?P<one>[^()]+?) ?\((?P<two>[^()]+)\)|(?P<three>\d{3}) (?P<four>\w+)|(?P<five>\w+) (?P<six>\d{3})"
)
_PASSES = re.compile(r"([1-9]\d?)(?: pass(?:es)?)?")


def _two_names_of_one(variable: Variable, form: str) -> str:
    """Key of a choice that is named twice: `SMAW (111)`, `135 MAG`; empty where the names are of two."""
    match = _IN_BRACKETS.fullmatch(form)
    names = [name for name in match.groups() if name] if match else []
    found = {_by_form(variable).get(_form(name), "") for name in names}
    return found.pop() if len(found) == 1 else ""


def asked_about(variable: Variable, text: str) -> str:
    """What to write in place of a text that means several things; empty where it is not known to."""
    return _ASKED.get((variable.key, _form(text)), "")


def choices_named(variable: Variable, text: str, use: RecordKind) -> list[str]:
    """Keys of all choices a text names, such as `F, H, V` or `stringer & weave`; none unless all of it is
    understood."""
    if variable.kind is not ValueKind.CHOICE or len(text) > 200:
        return []
    if one := choice_named(variable, text):
        return [one]
    if use in variable.many and variable.key == "backing" and _form(text) in _WITH_OR_WITHOUT:
        return [choice.key for choice in variable.choices]
    if use in variable.many and variable.key in _MAY_BE_ALL:
        if _form(text) in _BOTH or _ALL_WORDS.match(_form(text)):
            return [choice.key for choice in variable.choices]
        if variable.key == "position" and ALL_BUT_DOWN.fullmatch(text.strip()):
            return [choice.key for choice in variable.choices]
        if variable.key == "position" and (match := re.fullmatch(r"all (?:except|but) (.+)", _form(text))):
            left_out = choices_named(variable, match[1], use)
            return [c.key for c in variable.choices if c.key not in left_out] if left_out else []
    parts = [part.strip() for part in _SEPARATOR.split(_ONLY.sub("", text)) if part.strip()]
    found = [choice_named(variable, part) for part in parts]
    return list(dict.fromkeys(found)) if len(parts) > 1 and all(found) else []

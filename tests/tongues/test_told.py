"""Words of the program in another language: found again by message and places, numbers and days by locale.

Decimal comma: ISO 80000-1, 7.3.2 leaves it to the language; French and German write it (common practice).
Days: DIN 5008 for German; Québec and ISO 8601 for French (common practice)."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.tongues.languages import language_named, language_now, speaking
from qualification.tongues.neutral import is_neutral
from qualification.tongues.patterns import Pattern
from qualification.tongues.told import (
    told,
    told_list,
    told_low,
    told_number,
    told_or,
    told_source,
    told_within,
    untold,
)

NB = "\u202f"
PLATED = "6061 plate, pulsed GMAW, 5356"
TITLED = "AL-01 rev 0 6061 groove and fillet, pulsed GMAW"


@pytest.mark.parametrize(
    ("said", "french", "german"),
    [
        ("1.59 to 12.7 mm", "1,59 à 12,7 mm", "1,59 bis 12,7 mm"),
        ("up to 1/2 in (up to 12.7 mm)", "jusqu’à 1/2 in (jusqu’à 12,7 mm)", "bis 1/2 in (bis 12,7 mm)"),
        ("Group 22.3; Group 23.1", f"Groupe 22.3{NB}; Groupe 23.1", "Gruppe 22.3; Gruppe 23.1"),
        ("5.2, 5.6 (process (ISO 4063))", "5.2, 5.6 (procédé (ISO 4063))", "5.2, 5.6 (Prozess (ISO 4063))"),
        ("weld type: groove", f"type de soudure{NB}: bout à bout", "Nahtart: Stumpfnaht"),
        ("Weld type: groove", f"Type de soudure{NB}: bout à bout", "Nahtart: Stumpfnaht"),
        ("Covered by PT-001.", "Couvert par PT-001.", "Abgedeckt durch PT-001."),
        ("ER5356", "ER5356", "ER5356"),
        ("F-22, from ER5356", "F-22, d’après ER5356", "F-22, aus ER5356"),
        ("22 June 2026", "22 juin 2026", "22. Juni 2026"),
        (
            "deposit thickness up to 6 mm (weld type: groove; product form: plate); F-22",
            f"épaisseur déposée jusqu’à 6 mm (type de soudure{NB}: bout à bout{NB};"
            f" forme du produit{NB}: tôle){NB}; F-22",
            "Dicke des Schweißguts bis 6 mm (Nahtart: Stumpfnaht; Erzeugnisform: Blech); F-22",
        ),
        ("2026-06-22", "2026-06-22", "22.06.2026"),
        ("2026-06-22 14:05", "2026-06-22 14:05", "22.06.2026 14:05"),
        (
            "Inside AL-01. Covered by PT-001.",
            "Compris dans AL-01. Couvert par PT-001.",
            "Innerhalb von AL-01. Abgedeckt durch PT-001.",
        ),
        (
            "GMAW, Pulsed spray, ER5356",
            "GMAW, Pulvérisation pulsée, ER5356",
            "GMAW, Impulslichtbogen, ER5356",
        ),
        ("6061, temper T6: P-23", f"6061, état T6{NB}: P-23", "6061, Zustand T6: P-23"),
        (
            "EN 1090-2, 2018 (content list only)",
            "EN 1090-2, 2018 (liste de contenu seulement)",
            "EN 1090-2, 2018 (nur Inhaltsliste)",
        ),
    ],
)
def test_sentences_are_told_by_their_messages(said: str, french: str, german: str) -> None:
    with untold() as left:
        for language, wanted in (("fr", french), ("de", german)):
            with speaking(language):
                assert told(said) == wanted
    assert left == set()


def test_a_label_is_told_as_a_label() -> None:
    with speaking("de"):
        assert (told("Groove"), told("Groove", "label")) == ("Stumpfnaht", "Fugenform")
        assert told("Base metal of side B", "label") == "Grundwerkstoff der Seite B"
        assert told("Base metal, side B", "label") == "Grundwerkstoff der Seite B"  # as frozen long ago


def test_what_somebody_wrote_stays_and_is_noted() -> None:
    with speaking("fr"), untold() as left:
        assert told("Degrease, let dry 1.5 h, then brush") == "Degrease, let dry 1.5 h, then brush"
        assert told("Brushed it twice") == "Brushed it twice"
    assert left == {"Degrease, let dry 1.5 h, then brush", "Brushed it twice"}


@pytest.mark.parametrize(
    "typed", ["lot of flux", "Weld it to the root", "Bracket, to the left", "pass on", TITLED, PLATED]
)
def test_a_place_for_a_number_takes_no_words(typed: str) -> None:
    """`lot {N}` and `{PERSON}, to {DAY}` were found in what somebody typed."""
    with speaking("fr"):
        assert told(typed) == typed


@pytest.mark.parametrize(
    ("said", "french", "german"),
    [
        ("Photo: Root, face", f"Photo{NB}: Root, face", "Foto: Root, face"),
        (
            "Drawing: Steel plate (job 2140)",
            f"Plan{NB}: Steel plate (projet 2140)",
            "Zeichnung: Steel plate (Auftrag 2140)",
        ),
        (
            "Face bend F1: It was bent over a former of 2 in; at most 1 in is asked.",
            f"Pliage endroit F1{NB}: Pliée sur un mandrin de 2 in{NB}; 1 in au plus exigé.",
            "Decklagenbiegeprobe F1: Über einen Dorn von 2 in gebogen; höchstens 1 in gefordert.",
        ),
        (
            "Temper or condition of side A: T6",
            f"État métallurgique du côté A{NB}: T6",
            "Werkstoffzustand der Seite A: T6",
        ),
    ],
)
def test_a_name_does_not_swallow_what_is_said_of_it(said: str, french: str, german: str) -> None:
    """A title was told as if the program had said it, and a sentence was taken for the name before it."""
    for language, wanted in (("fr", french), ("de", german)):
        with speaking(language):
            assert told(said) == wanted


def test_the_title_of_a_source_keeps_its_language() -> None:
    """`The Welding of Aluminium, page 207` was told as “Seite 207”."""
    with speaking("de"):
        said = told_source("The Welding of Aluminium, page 207, read 2026-11-25")
    assert said == "The Welding of Aluminium, page 207, gelesen am 25.11.2026"


def test_turns_within_a_sentence() -> None:
    assert (told_low("In review"), told_within("Hardness"), told_or(["Employer", "Welding coordinator"])) == (
        "in review",
        "hardness",
        "employer or welding coordinator",
    )
    with speaking("de"):
        assert (told_low("In review"), told_within("Hardness")) == ("in Prüfung", "Härte")
        assert told_or(["Employer", "Welding coordinator"]) == "Arbeitgeber oder Schweißaufsicht"
        assert told_number("20.5–23.5") == "20,5–23,5"
        assert told(date(2026, 6, 2)) == "02.06.2026"
    with speaking("fr"):
        assert told_list(["Fillet", "Groove"]) == f"Soudure d’angle{NB}; Bout à bout"


def test_a_language_nobody_speaks_is_english() -> None:
    with speaking("xx"):
        assert (language_now(), language_named("xx")) == ("en", "en")


@given(st.text())
def test_english_stays_to_the_letter(text: str) -> None:
    with speaking("en"):
        assert told(text) == text


@given(st.text(alphabet=" ,;.:()ab1", max_size=60))
def test_any_text_is_answered(text: str) -> None:
    with speaking("de"):
        assert isinstance(told(text), str)


def test_a_pattern_is_read_in_each_way() -> None:
    found = Pattern.of("{a} to {b}", "{a} bis {b}").found_in("root to toe to face")
    assert list(found) == [{"a": "root to toe", "b": "face"}, {"a": "root", "b": "toe to face"}]
    assert list(Pattern.of("Covered by {T}.", "").found_in("Covered by .")) == []


@pytest.mark.parametrize(
    ("text", "neutral"), [("QW-403.11", True), ("100 % Ar", True), ("3/16 in", True), ("Groove", False)]
)
def test_designations_have_no_language(text: str, neutral: bool) -> None:
    assert is_neutral(text) is neutral

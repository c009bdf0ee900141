"""Gas mixtures: one key for every way of writing the same mixture."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from qualification.rules.core.gases import GasError, components, is_inert, label, read_gas

SAME = [
    (
        "Ar",
        [
            "ar",
            "Argon",
            "100Ar",
            "100 Ar",
            "100% Ar",
            "100 % argon",
            "Ar 100",
            "Ar 100 %",
            "  AR ",
            "100,0 Ar",
        ],
    ),
    ("He", ["helium", "100He"]),
    (
        "Ar 75 / CO2 25",
        [
            "75Ar/25CO2",
            "75Ar-25CO2",
            "75 % Ar + 25 % CO₂",
            "25CO2/75Ar",
            "Ar + 25% CO2",
            "Ar/25CO2",
            "CO2 25 / Ar 75",
        ],
    ),
    (
        "Ar 98 / O2 2",
        ["98Ar/2O2", "Ar-2%O2", "Ar + 2 % oxygen", "Ar, 2% O2", "argon and 2 O2", "98.0 Ar / 2.00 O2"],
    ),
    ("Ar 50 / He 50", ["50He/50Ar", "Ar 50 % + He 50 %"]),
    ("He 90 / Ar 7.5 / CO2 2.5", ["90He/7.5Ar/2.5CO2", "Ar 7,5 + CO2 2,5 + He", "He; 7.5 Ar; 2.5 CO2"]),
    ("Ar 95 / H2 5", ["Ar + 5 % hydrogen"]),
    ("N2", ["nitrogen", "100 N₂"]),
    ("none", ["none", "No gas", "no", " NONE "]),
]
WRITINGS = [(key, text) for key, texts in SAME for text in [key, *texts]]


@pytest.mark.parametrize(("key", "text"), WRITINGS, ids=[text for _, text in WRITINGS])
def test_each_writing_gives_the_same_key(key: str, text: str) -> None:
    assert read_gas(text) == key


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "does not name a gas"),
        ("C25", "does not name a gas"),
        ("75/25", "does not name a gas"),
        ("75Ar25/CO2", "does not name a gas"),
        ("argonne", "does not name a gas"),
        ("Ar + neon", "does not name a gas"),
        ("75Ar", "add up to 75 %"),
        ("75Ar/20CO2", "add up to 95 %"),
        ("75Ar/30CO2", "add up to 105 %"),
        ("Ar/CO2", "leaves the share of Ar and CO2 open"),
        ("75Ar/25Ar", "names Ar twice"),
        ("Ar + 100 % CO2", "leave nothing for one component"),
        ("Ar + 120 % CO2", "leave nothing for one component"),
        ("100Ar/0He", "leave nothing for one component"),
        ("none/Ar", "does not name a gas"),
    ],
)
def test_what_is_no_mixture_is_refused_with_how_to_write_one(text: str, words: str) -> None:
    with pytest.raises(GasError, match=words):
        read_gas(text)


@pytest.mark.parametrize(
    ("key", "inert"),
    [
        ("Ar", True),
        ("He 75 / Ar 25", True),
        ("Ar 98 / O2 2", False),
        ("CO2", False),
        ("N2", False),
        ("none", False),
    ],
)
def test_only_argon_and_helium_are_inert(key: str, inert: bool) -> None:
    """Common practice: nitrogen is not counted among the inert gases in welding."""
    assert is_inert(key) is inert


@pytest.mark.parametrize(
    ("key", "words"),
    [("Ar", "100 % Ar"), ("Ar 75 / CO2 25", "75 % Ar + 25 % CO₂"), ("none", "No gas"), ("O2", "100 % O₂")],
)
def test_how_a_mixture_is_printed(key: str, words: str) -> None:
    assert label(key) == words
    assert read_gas(words) == key


@st.composite
def mixtures(draw: st.DrawFn) -> dict[str, Decimal]:
    names = draw(
        st.lists(st.sampled_from(["Ar", "He", "CO2", "O2", "H2", "N2"]), min_size=1, max_size=4, unique=True)
    )
    cuts = sorted(draw(st.sets(st.integers(1, 199), min_size=len(names) - 1, max_size=len(names) - 1)))
    ends = [0, *cuts, 200]
    return {name: Decimal(high - low) / 2 for name, low, high in zip(names, ends, ends[1:], strict=False)}


@given(mixtures(), st.randoms())
def test_the_order_of_writing_does_not_matter_and_nothing_is_lost(
    mixture: dict[str, Decimal], chance: object
) -> None:
    parts = list(mixture.items())
    chance.shuffle(parts)  # type: ignore[attr-defined]
    key = read_gas("/".join(f"{share}{name}" for name, share in parts))
    assert components(key) == mixture
    assert read_gas(key) == key
    assert read_gas(label(key)) == key


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_and_never_crashes(text: str) -> None:
    try:
        key = read_gas(text)
    except GasError:
        return
    assert key == "none" or sum(components(key).values()) == 100

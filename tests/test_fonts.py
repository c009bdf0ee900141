"""The bundled fonts have every sign that pages and documents print."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parent.parent / "wps" / "static" / "fonts"
SIGNS = "0123456789/°±≤≥<>×µ−–—Ø¼½¾⅛⅜⅝⅞→←²³·•…§“”‘’≈≠"


@pytest.mark.parametrize("font", sorted(FONTS.glob("*.ttf")), ids=lambda path: path.stem)
def test_no_sign_is_missing(font: Path) -> None:
    glyphs = TTFont(font).getBestCmap()
    assert [sign for sign in SIGNS if ord(sign) not in glyphs] == []


def test_the_licence_lies_beside_them() -> None:
    assert len(list(FONTS.glob("*.ttf"))) == 5
    assert "SIL Open Font License" in (FONTS / "OFL.txt").read_text(encoding="utf-8")


def test_the_style_sheet_names_each_font_that_is_there() -> None:
    tokens = (FONTS.parent / "css" / "tokens.css").read_text(encoding="utf-8")
    assert [font.name for font in FONTS.glob("*.ttf") if f"fonts/{font.name}" not in tokens] == []

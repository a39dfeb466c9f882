"""The table of glyph widths is the font's and cairo's, and so are the heights of the print rules.

Where cairo is missing the tests that draw are skipped; on the build machine (CI is set) that is
an error.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from beltpath.cards import font
from beltpath.cards.labels import AIR
from beltpath.cards.text import (
    ASCENT,
    CAPITAL,
    DESCENT,
    FAMILY,
    LEAST_CAPITAL,
    LEAST_SIZE,
    LINE,
    width,
)
from beltpath.errors import ExportError

SAMPLES = (
    "alternator clockwise 1795",
    "Seen from the front, facing the pulleys.",
    "1277 to 1398 mm, ± 7 mm (95\u00a0%)",
    "WARNING AVATAR Type To LT",
    "Größe, Łódź, Šťáva, Ωμέγα, Кириллица",
    "−12° … → ≥ ×",
)


@cache
def why_not() -> str | None:
    """Why cairo's own metrics cannot be had here; None when they can."""
    try:
        from beltpath.cards.font import make_known

        make_known()
    except (ImportError, OSError, ExportError) as error:
        return f"cairo or its fonts cannot be loaded: {error}"
    return None


measured = pytest.mark.skipif(why_not() is not None, reason=why_not() or "")


def test_cairo_and_the_font_are_on_the_build_machine() -> None:
    if os.environ.get("CI"):
        assert why_not() is None
    else:
        assert why_not() is None or isinstance(why_not(), str)


def table() -> dict[str, dict[str, int]]:
    text = files("beltpath").joinpath("data", "font_widths.json").read_text(encoding="utf-8")
    found: dict[str, dict[str, int]] = json.loads(text)
    return found


def context(bold: bool) -> Any:
    import cairocffi

    found = cairocffi.Context(cairocffi.RecordingSurface(cairocffi.CONTENT_COLOR_ALPHA, None))
    options = cairocffi.FontOptions(
        hint_style=cairocffi.HINT_STYLE_NONE, hint_metrics=cairocffi.HINT_METRICS_OFF
    )
    found.set_font_options(options)
    weight = cairocffi.FONT_WEIGHT_BOLD if bold else cairocffi.FONT_WEIGHT_NORMAL
    found.select_font_face(FAMILY, cairocffi.FONT_SLANT_NORMAL, weight)
    found.set_font_size(1000.0)
    return found


class TestTable:
    def test_the_shipped_table_is_what_the_faces_say(self) -> None:
        assert table() == font.tables()

    def test_marks_and_unseen_characters_stand_for_nothing_by_themselves(self) -> None:
        for code in (0x0301, 0x00AD, 0x200B, 0x200D, 0xE000, 0xFEFF):
            assert str(code) not in table()["regular"]

    def test_every_character_has_an_outline_or_is_a_blank(self) -> None:
        for bold in (False, True):
            for code in map(int, table()["bold" if bold else "regular"]):
                data = font.outline(chr(code), bold=bold)
                assert bool(data) != chr(code).isspace(), hex(code)
                assert "None" not in data

    def test_the_builder_writes_the_shipped_file(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        (tmp_path / "data").mkdir()
        monkeypatch.setattr(font, "DATA", tmp_path / "data")
        font.main()
        written = (tmp_path / "data" / "font_widths.json").read_bytes()
        assert written == files("beltpath").joinpath("data", "font_widths.json").read_bytes()
        assert capsys.readouterr().out == "font_widths.json written\n"

    @measured
    @pytest.mark.parametrize("bold", [False, True])
    @pytest.mark.parametrize("sample", SAMPLES)
    def test_a_text_is_as_wide_as_cairo_draws_it(self, sample: str, bold: bool) -> None:
        """Each glyph is rounded to a thousandth of an em, so a text to that many thousandths."""
        drawn = context(bold).text_extents(sample)[4]
        assert width(sample, 1000.0, bold=bold) == pytest.approx(drawn, abs=len(sample))


@measured
class TestHeights:
    def test_the_heights_are_those_of_the_fonts_own_tables(self) -> None:
        for bold in (False, True):
            tables = font.font(bold=bold)
            em = tables["head"].unitsPerEm
            assert tables["hhea"].ascent / em == ASCENT
            assert -tables["hhea"].descent / em == DESCENT
            assert (tables["hhea"].ascent - tables["hhea"].descent) / em == LINE
        assert font.font(bold=False)["OS/2"].sCapHeight / em == CAPITAL

    @pytest.mark.parametrize("bold", [False, True])
    def test_capitals_are_as_high_as_the_print_rules_reckon(self, bold: bool) -> None:
        for letter in "EFHIXZ":
            height = -context(bold).text_extents(letter)[1] / 1000.0
            assert height == pytest.approx(CAPITAL, abs=0.006)

    @pytest.mark.parametrize("bold", [False, True])
    def test_lines_hold_every_letter_of_a_cards_own_words(self, bold: bool) -> None:
        tops, bottoms = extents(bold, range(0x21, 0x7F))
        assert max(tops) <= ASCENT
        assert max(bottoms) <= DESCENT

    @pytest.mark.parametrize("bold", [False, True])
    def test_an_accent_reaches_no_further_than_the_air_round_a_label(self, bold: bool) -> None:
        """Å and Ģ stand a little out of their line; Greek and Cyrillic do not."""
        tops, bottoms = extents(bold, (*range(0x21, 0x7F), *range(0xA1, 0x180)))
        assert (max(tops) - ASCENT) * LEAST_SIZE < AIR / 2.0
        assert (max(bottoms) - DESCENT) * LEAST_SIZE < AIR / 2.0
        tops, bottoms = extents(bold, (*range(0x3A3, 0x3CF), *range(0x400, 0x460)))
        assert max(tops) + max(bottoms) <= LINE


def extents(bold: bool, codes: Iterable[int]) -> tuple[list[float], list[float]]:
    """How far glyphs reach above and below the baseline, in em."""
    found = context(bold)
    glyphs = [found.text_extents(chr(code)) for code in codes]
    tops = [-top / 1000.0 for _, top, *_ in glyphs]
    return tops, [(top + height) / 1000.0 for _, top, _, height, *_ in glyphs]


def test_the_least_size_gives_the_least_capital() -> None:
    assert LEAST_SIZE * CAPITAL >= LEAST_CAPITAL == 2.3
    # No larger than it must be: a card is small.
    assert (LEAST_SIZE - 0.1) * CAPITAL < LEAST_CAPITAL


def test_the_table_holds_all_that_a_card_may_say_of_itself() -> None:
    regular, bold = table()["regular"], table()["bold"]
    assert regular.keys() == bold.keys()
    for character in "AZaz09 .,:;()%±°×−–—…·\u00a0'\"<>&ßéŁΩЖ→":
        assert regular[str(ord(character))] > 0

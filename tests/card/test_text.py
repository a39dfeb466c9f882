"""Text that is measured, shortened and broken into lines never grows wider than its room."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from beltpath.cards.text import ELLIPSIS, LEAST_SIZE, SPARE, lacking, shorten, shown, width, wrap
from tests.strategies import law

TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=80
)
WORDS = st.lists(st.text(st.characters(categories=("L", "N", "P")), min_size=1), max_size=12)
ROOM = st.floats(8.0, 120.0)


class TestWidth:
    def test_widths_add_up(self) -> None:
        assert width("ab", 10.0) == width("a", 10.0) + width("b", 10.0)
        assert width("", 10.0) == 0.0

    def test_widths_grow_with_the_size(self) -> None:
        assert width("pump", 6.4) == 2.0 * width("pump", 3.2)

    def test_bold_is_wider(self) -> None:
        assert width("alternator", 3.2, bold=True) > width("alternator", 3.2)

    def test_a_character_outside_the_table_counts_as_one_em(self) -> None:
        assert width("\U0001f69c", 3.2) == 3.2

    def test_blanks_and_hyphens_of_other_kinds_are_those_of_the_font(self) -> None:
        assert shown("thin\u2009wide\u2003non\u2011break") == "thin wide non-break"
        assert width("a\u2003b", 10.0) == width("a b", 10.0)

    def test_what_the_font_lacks_is_told_once_and_in_order(self) -> None:
        assert list(lacking("ab ג é ג 🚜 Ω Ж\u2003±−°\t")) == ["ג", "🚜"]


class TestShorten:
    """As much of the text as fits, with an ellipsis where some is lost."""

    @law
    @given(TEXT, ROOM, st.booleans())
    def test_it_fits(self, text: str, room: float, bold: bool) -> None:
        assert width(shorten(text, room, LEAST_SIZE, bold=bold), LEAST_SIZE, bold=bold) <= room

    @law
    @given(TEXT, ROOM)
    def test_it_is_a_beginning_of_the_text(self, text: str, room: float) -> None:
        short = shorten(text, room, LEAST_SIZE)
        assert short == text or text.startswith(short.removesuffix(ELLIPSIS))

    @law
    @given(TEXT, ROOM)
    def test_nothing_is_lost_without_need(self, text: str, room: float) -> None:
        short = shorten(text, room, LEAST_SIZE)
        if short != text:
            longer = text[: len(short.removesuffix(ELLIPSIS)) + 1].rstrip() + ELLIPSIS
            assert width(longer, LEAST_SIZE) > room * 0.98 or longer == short

    def test_a_space_before_the_ellipsis_goes(self) -> None:
        room = width("water pump …", LEAST_SIZE) / SPARE
        assert shorten("water pump of the left engine", room, LEAST_SIZE) == "water pump…"

    def test_no_room_at_all_leaves_the_ellipsis(self) -> None:
        assert shorten("pump", 1.0, LEAST_SIZE) == ELLIPSIS


class TestWrap:
    """Lines no wider than their room, all words kept in their order."""

    @law
    @given(WORDS, ROOM, st.booleans())
    def test_lines_fit(self, words: list[str], room: float, bold: bool) -> None:
        for line in wrap(" ".join(words), room, LEAST_SIZE, bold=bold):
            assert width(line, LEAST_SIZE, bold=bold) <= room

    @law
    @given(WORDS, ROOM)
    def test_every_character_stays_in_its_order(self, words: list[str], room: float) -> None:
        lines = wrap(" ".join(words), room, LEAST_SIZE)
        assert "".join(lines).replace(" ", "") == "".join(words)

    @law
    @given(st.lists(st.sampled_from(["a", "pump", "alternator"]), max_size=12), ROOM)
    @example(["alternator"] * 6, 40.0)
    def test_short_words_are_not_broken(self, words: list[str], room: float) -> None:
        lines = wrap(" ".join(words), max(room, 20.0), LEAST_SIZE)
        assert " ".join(lines).split() == words

    def test_a_line_takes_as_many_words_as_fit(self) -> None:
        room = width("one two three", LEAST_SIZE) / SPARE + 0.01
        assert wrap("one two three four", room, LEAST_SIZE) == ["one two three", "four"]

    def test_a_word_too_long_is_broken(self) -> None:
        lines = wrap("x" + "M" * 30, 20.0, LEAST_SIZE)
        assert len(lines) > 3
        assert "".join(lines) == "x" + "M" * 30

    def test_a_character_wider_than_the_room_stands_alone(self) -> None:
        assert wrap("MM", 1.0, LEAST_SIZE) == ["M", "M"]

    def test_line_breaks_of_the_text_are_kept(self) -> None:
        assert wrap("one\ntwo", 100.0, LEAST_SIZE) == ["one", "two"]
        assert wrap("one\n\ntwo", 100.0, LEAST_SIZE) == ["one", "", "two"]

    def test_no_text_is_one_empty_line(self) -> None:
        assert wrap("", 100.0, LEAST_SIZE) == [""]

"""One rule for text in every file: what XML cannot carry or the eye cannot see is refused."""

from __future__ import annotations

import unicodedata
from xml.etree import ElementTree

import pytest

from beltpath.errors import LayoutError
from beltpath.layout.characters import RANGES, escaped, shown, unseen
from beltpath.layout.reader import parse
from beltpath.layout.toml import write
from beltpath.survey import parse as parse_survey
from tests.core.test_problems import BASE
from tests.measure.scenes import Camera, clicked, head, photo, tapes

#: One of every kind that the rule names.
CODES = """
    1 1b 7f 85 ad 200b 200d 2028 2029 202e 2066 34f 115f 2800 e000 fdd0 fe0f feff fffb fffe ffff
    1fffe e0041 e0100 f0000
"""
EVILS = [chr(int(code, 16)) for code in CODES.split()]
#: Signs of number that Unicode counts among its unseen format characters; they are seen.
SEEN = {*range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD}


def problems(text: str) -> list[str]:
    with pytest.raises(LayoutError) as caught:
        parse(text)
    return [str(problem) for problem in caught.value.problems]


class TestTheRule:
    def test_it_covers_every_character_of_the_unseen_kinds(self) -> None:
        unseen_kinds = {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"}
        missing = [
            hex(code)
            for code in range(0x110000)
            if unicodedata.category(chr(code)) in unseen_kinds
            and code not in SEEN
            and not unseen(chr(code))
        ]
        assert missing == []

    def test_it_refuses_no_letter_digit_or_sign(self) -> None:
        wrong = {
            hex(code)
            for low, high in RANGES
            for code in range(low, high + 1)
            if unicodedata.category(chr(code))[0] in "NPS"
        }
        # The blank of Braille; an image that is not there.
        assert wrong == {"0x2800", "0xfffc"}

    def test_every_other_character_can_stand_in_xml(self) -> None:
        for start in range(0, 0x110000, 0x4000):
            text = "".join(c for c in map(chr, range(start, start + 0x4000)) if not unseen(c))
            element = ElementTree.Element("a")
            element.text = text
            assert ElementTree.fromstring(ElementTree.tostring(element)).text == text or not text

    def test_the_first_one_is_told(self) -> None:
        assert unseen("pump\u200b\x01") == "\u200b"
        assert unseen("a\tb\x01", "\t") == "\x01"
        assert unseen("Förderer ½ — Насос") is None
        assert shown("a\u200bb", "?") == "a?b"
        assert (escaped("\x85"), escaped("\U000e0041")) == ("\\u0085", "\\U000e0041")


@pytest.mark.parametrize("evil", EVILS, ids=escaped)
class TestEveryFile:
    def test_a_layouts_texts(self, evil: str) -> None:
        raw = escaped(evil)
        (told,) = problems(BASE.replace('"Bench"', f'"Bench{raw}"'))
        assert told == f'line 1: title: holds a character that cannot be printed ("{raw}")'

    def test_a_layouts_comments(self, evil: str) -> None:
        if evil < " " or evil == "\x7f":
            pytest.skip("no TOML")
        (told,) = problems(f"{BASE}\n# one\n# left {evil}x = 1\n")
        line = BASE.count("\n") + 3
        assert told == (
            f"line {line}: the comment holds a character that cannot be printed "
            f'("{escaped(evil)}"); take it out'
        )

    def test_the_texts_of_a_survey(self, evil: str) -> None:
        raw = escaped(evil)
        text = head() + photo(clicked(None, Camera()), f'file = "a{raw}.jpg"')
        with pytest.raises(LayoutError) as caught:
            parse_survey(text)
        (told,) = caught.value.problems
        assert told.path == "photo.file"
        assert told.line is not None
        point = head() + tapes() + f'[points]\n"bolt{raw}" = {{ diameter = 10 }}\n'
        with pytest.raises(LayoutError, match="holds a character that cannot be printed"):
            parse_survey(point)


def test_a_survey_may_not_hide_characters_in_comments_either() -> None:
    with pytest.raises(LayoutError, match="the comment holds a character"):
        parse_survey(head() + tapes() + "# \u200b\n")


def test_comments_are_told_by_line_among_the_other_mistakes() -> None:
    text = "# \u200b\n" + BASE.replace('"Bench"', '"#\n"').replace("\n\n", "\n# ok\n", 1)
    lines = [told.split(":")[0] for told in problems(text.replace('"#\n"', '"\\u200b # no"'))]
    assert lines == ["line 1", "line 2"]


def test_what_is_written_escapes_what_cannot_be_seen() -> None:
    text = write({"title": "a\ufffeb"}, comments={"": "x\u200by"})
    assert text == '# x?y\ntitle = "a\\ufffeb"\n'

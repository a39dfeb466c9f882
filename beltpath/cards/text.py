"""How wide a text prints, and how it is broken into lines. Millimetres throughout.

Widths come from a table made from the card's faces (see `metrics`). The table holds every
character that a card can show; `lacking` tells the others, and a card with one is not drawn.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache, lru_cache

from beltpath.data.tables import read_data

FAMILY = "Fira Sans Condensed"
WIDTHS_FILE = "font_widths.json"
#: Height of a capital, of the part above the baseline that text may fill, and below it, in em,
#: from the tables OS/2 and hhea of the faces.
CAPITAL = 0.688
ASCENT = 0.935
DESCENT = 0.265
#: The least capital height that can be read on a card under the hood, mm, and its font size.
LEAST_CAPITAL = 2.3
LEAST_SIZE = 3.4
#: From one baseline to the next, in em: the faces' own ascent and descent, without a gap.
LINE = 1.2
#: A renderer that rounds glyph positions to its pixels may print a little wider than measured.
SPARE = 0.985
#: What widths are told in: an em is a thousand of it.
EM = 1000
ELLIPSIS = "…"
#: What looks the same as a character that the faces have: blanks of any width and hyphens.
_BLANKS = (0x09, 0x1680, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000)
ALIKE = dict.fromkeys(_BLANKS, " ") | dict.fromkeys((0x2010, 0x2011), "-")


@cache
def _widths(bold: bool) -> dict[int, int]:
    table = json.loads(read_data(WIDTHS_FILE))["bold" if bold else "regular"]
    return {int(code): width for code, width in table.items()}


def shown(text: str) -> str:
    """The text in characters of the card's faces, as long as it was."""
    return text if text.isascii() and "\t" not in text else text.translate(ALIKE)


def lacking(text: str) -> Iterator[str]:
    """The characters of a text that the card's faces cannot show, each once, in order."""
    table = _widths(False)
    yield from dict.fromkeys(c for c in shown(text) if ord(c) not in table)


def width(text: str, size: float, *, bold: bool = False) -> float:
    """The printed width of a text at a font size, mm."""
    return _ems(text, bold) * size / EM


@lru_cache(maxsize=8192)
def _ems(text: str, bold: bool) -> int:
    """The width of a text in thousandths of an em. Blocks are measured several times over."""
    table = _widths(bold)
    return sum(table.get(ord(character), EM) for character in shown(text))


def shorten(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """The text, or as much of it as fits into `room` mm with an ellipsis behind it."""
    room *= SPARE
    if width(text, size, bold=bold) <= room:
        return text
    while text and width(text.rstrip() + ELLIPSIS, size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def wrap(text: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """The text in lines no wider than `room` mm; a word too long for a line is broken."""
    room *= SPARE
    lines: list[str] = []
    space = _ems(" ", bold)
    for paragraph in text.splitlines() or [""]:
        line, used = "", 0
        for word in filter(None, paragraph.split(" ")):
            longer = used + space + _ems(word, bold) if line else _ems(word, bold)
            if longer * size / EM <= room:
                line, used = f"{line} {word}" if line else word, longer
                continue
            if line:
                lines.append(line)
            *full, line = _break(word, room, size, bold)
            used = _ems(line, bold)
            lines += full
        lines.append(line)
    return lines


def _break(word: str, room: float, size: float, bold: bool) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and width(pieces[-1] + character, size, bold=bold) > room:
            pieces.append("")
        pieces[-1] += character
    return pieces

"""The card's two faces: their files, outlines and characters, and how cairo comes to know them.

The faces come with the package as a dependency, so every machine draws the same letters. What is
needed to set a text stands in `text`'s table; the files are opened late, and by what draws only.
``python -m beltpath.cards.font`` builds that table. A test compares it with the faces and cairo.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from beltpath.cards.scene import Group, Item, Words
from beltpath.cards.text import EM, FAMILY, WIDTHS_FILE, lacking, width
from beltpath.data.tables import DATA
from beltpath.errors import ExportError, Problem
from beltpath.layout.layout import Layout
from beltpath.layout.toml import LineIndex, dotted

#: Categories of what is no sign of its own: marks set over another sign, what is not seen, and
#: what has no agreed meaning.
NOT_ALONE = frozenset({"Mn", "Me", "Mc", "Cc", "Cf", "Co", "Cn", "Cs", "Zl", "Zp"})
#: How the library is called on Linux, macOS and Windows: the one that cairo itself has loaded.
LIBRARIES = (
    "libfontconfig.so.1",
    "libfontconfig.1.dylib",
    "fontconfig-1.dll",
    "libfontconfig-1.dll",
)
SAMPLE = "alternator −12° ± 1795 clockwise"
#: How much the sample's width may differ, cairo's own rounding included.
SLACK = 0.003
REFUSED = (
    "the card's font cannot be made known to cairo, and another would print boxes and other "
    "widths; install fontconfig (Debian: apt-get install libfontconfig1) or write the card as SVG"
)
#: More characters than these are counted and not named.
MOST_NAMED = 3
#: A longer line is cut where it is quoted.
LONGEST_QUOTE = 40

_Pair = tuple[float, float]


def path(*, bold: bool) -> Path:
    """The file of a face."""
    import fontpkg_fira_sans_condensed as package

    weight = "Bold" if bold else "Regular"
    found: Path = package.ROOT / "files" / f"FiraSansCondensed-{weight}.ttf"
    return found


@cache
def font(*, bold: bool) -> Any:
    """A face, read."""
    from fontTools.ttLib import TTFont

    return TTFont(path(bold=bold), lazy=True)


def advances(*, bold: bool) -> dict[int, int]:
    """Advance widths in thousandths of an em by code point, of all that both faces can draw."""
    face = font(bold=bold)
    common = face.getBestCmap().keys() & font(bold=not bold).getBestCmap().keys()
    drawn = sorted(c for c in common if unicodedata.category(chr(c)) not in NOT_ALONE)
    scale = EM / face["head"].unitsPerEm
    return {code: round(face["hmtx"][face.getBestCmap()[code]][0] * scale) for code in drawn}


@cache
def outline(character: str, *, bold: bool) -> str:
    """The outline of a character as SVG path data in thousandths of an em, y downward.

    Empty for a blank.
    """
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    face = font(bold=bold)
    glyphs = face.getGlyphSet()
    pen = DecomposingRecordingPen(glyphs)
    glyphs[face.getBestCmap()[ord(character)]].draw(pen)
    return "".join(_steps(pen.value))


def _steps(drawn: Any) -> Iterator[str]:
    """What a pen has drawn as path data: every contour from its place, then from point to point."""
    here = (0.0, 0.0)
    for name, points in drawn:
        if name == "moveTo":
            yield f"M{_pair(points[0])}"
        elif name == "lineTo":
            yield f"l{_pair(points[0], here)}"
        elif name == "qCurveTo":
            for control, end in _pieces(points):
                yield f"q{_pair(control, here)} {_pair(end, here)}"
                here = end
        else:
            yield "z"
        here = points[-1] if points else here


def _pieces(points: Any) -> Iterator[tuple[_Pair, _Pair]]:
    """Single quadratic curves (control and end) of a run that leaves out the points between."""
    *controls, last = points
    joints = (((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(controls))
    yield from zip(controls, (*joints, last), strict=True)


def _pair(point: _Pair, start: _Pair = (0.0, 0.0)) -> str:
    right, down = point[0] - start[0], start[1] - point[1]
    return f"{right:g} {down:g}"


# --- cairo ---------------------------------------------------------------------------------------


@cache
def make_known() -> None:
    """Add both faces to fontconfig's fonts; ExportError when cairo does not draw with them."""
    library = _library()
    for bold in (False, True):
        if not library.FcConfigAppFontAddFile(None, os.fsencode(path(bold=bold))):
            raise ExportError(REFUSED)
    if not all(_is_drawn(bold) for bold in (False, True)):
        raise ExportError(REFUSED)


def _library() -> Any:
    for name in LIBRARIES:
        try:
            library = ctypes.CDLL(name)
        except OSError:
            continue
        library.FcConfigAppFontAddFile.argtypes = (ctypes.c_void_p, ctypes.c_char_p)
        library.FcConfigAppFontAddFile.restype = ctypes.c_int
        return library
    raise ExportError(REFUSED)


def _is_drawn(bold: bool) -> bool:
    """Whether cairo draws in the card's face: a text is as wide as it was set."""
    import cairocffi

    surface = cairocffi.RecordingSurface(cairocffi.CONTENT_COLOR_ALPHA, None)
    context = cairocffi.Context(surface)
    context.set_font_options(
        cairocffi.FontOptions(
            hint_style=cairocffi.HINT_STYLE_NONE, hint_metrics=cairocffi.HINT_METRICS_OFF
        )
    )
    weight = cairocffi.FONT_WEIGHT_BOLD if bold else cairocffi.FONT_WEIGHT_NORMAL
    context.select_font_face(FAMILY, cairocffi.FONT_SLANT_NORMAL, weight)
    context.set_font_size(100.0)
    drawn = float(context.text_extents(SAMPLE)[4])
    return abs(drawn / width(SAMPLE, 100.0, bold=bold) - 1.0) < SLACK


# --- characters that the faces lack ---------------------------------------------------------------


def require(items: Iterable[Item], layout: Layout) -> None:
    """Raise ExportError when the faces lack a character of the items; `layout` says where it is."""
    for text in texts(items):
        if missing := list(lacking(text)):
            raise ExportError(_told(missing, text, layout))


def texts(items: Iterable[Item]) -> Iterator[str]:
    """Every line of text of a drawing."""
    for item in items:
        if isinstance(item, Group):
            yield from texts(item.items)
        elif isinstance(item, Words):
            yield item.text


def _told(missing: list[str], line: str, layout: Layout) -> str:
    """Where it is, which characters, and what to write instead."""
    place, every = _place(missing[0], layout) or (f"“{line[:LONGEST_QUOTE]}”", missing)
    more = len(every) - MOST_NAMED
    names = ", ".join(map(_name, every[:MOST_NAMED])) + (f" and {more} more" if more > 0 else "")
    return f"{place}: the card's font has no {names}; {_advice(missing[0])}"


def _place(character: str, layout: Layout) -> tuple[str, list[str]] | None:
    """Which text of the layout holds a character, and all that is lacking of that text."""
    lines = LineIndex(layout.text)
    for key, text in _written(layout):
        if character in text:
            found = Problem(path=key, message="", line=lines.line(key), place=layout.name)
            return str(found).removesuffix(": "), list(lacking(text))
    if character in layout.name:
        return f"the file's name, {layout.name}", list(lacking(layout.name))
    return None


def _written(layout: Layout) -> Iterator[tuple[str, str]]:
    """The texts that a layout gives to its card, each under its key."""
    yield "title", layout.title
    yield "notes", layout.notes
    for name, pulley in layout.pulleys.items():
        yield dotted(["pulleys", name, "label"]), pulley.label or ""
    if layout.tensioner is not None:
        yield "tensioner.lever", layout.tensioner.lever or ""
    for name in layout.pulleys:
        yield dotted(["pulleys", name]), name


def _name(character: str) -> str:
    """A character as it is called: “ג” (U+05D2, HEBREW LETTER GIMEL)."""
    called = unicodedata.name(character, "")
    code = f"U+{ord(character):04X}"
    sign = f"“{character}”" if character.isprintable() and not _leans(character) else ""
    return f"{sign} ({code}, {called})".lstrip() if called else f"{sign} ({code})".lstrip()


def _advice(character: str) -> str:
    if _leans(character):
        return "write a letter and its accent as one character, such as é"
    return "write it in Latin, Greek or Cyrillic letters"


def _leans(character: str) -> bool:
    """Whether it is a mark set over the character before it."""
    return unicodedata.category(character).startswith("M")


# --- the table of widths -------------------------------------------------------------------------


def tables() -> dict[str, dict[str, int]]:
    """Advance widths of both weights in thousandths of an em, by code point."""
    return {
        name: {str(code): wide for code, wide in advances(bold=bold).items()}
        for name, bold in (("regular", False), ("bold", True))
    }


def main() -> None:
    """Write the table of widths where the package reads it."""
    text = json.dumps(tables(), separators=(",", ":")) + "\n"
    (DATA / WIDTHS_FILE).write_text(text, encoding="utf-8")
    sys.stdout.write(f"{WIDTHS_FILE} written\n")


if __name__ == "__main__":
    main()

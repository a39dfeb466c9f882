"""The card's two faces as files: what they hold, how wide and high it is, and its outlines.

The faces come with the package as a dependency, so every machine draws the same letters. What is
needed to set a text is in `text`'s table; the files are opened late, and by what draws only.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from beltpath.cards.text import EM

#: Categories of what is no sign of its own: marks set over another sign, what is not seen, and
#: what has no agreed meaning.
NOT_ALONE = frozenset({"Mn", "Me", "Mc", "Cc", "Cf", "Co", "Cn", "Cs", "Zl", "Zp"})

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
            yield f"M{_words(points[0])}"
        elif name == "lineTo":
            yield f"l{_words(points[0], here)}"
        elif name == "qCurveTo":
            for control, end in _pieces(points):
                yield f"q{_words(control, here)} {_words(end, here)}"
                here = end
        else:
            yield "z"
        here = points[-1] if points else here


def _pieces(points: Any) -> Iterator[tuple[_Pair, _Pair]]:
    """Single quadratic curves (control and end) of a run that leaves out the points between."""
    *controls, last = points
    joints = (((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(controls))
    yield from zip(controls, (*joints, last), strict=True)


def _words(point: _Pair, start: _Pair = (0.0, 0.0)) -> str:
    right, down = point[0] - start[0], start[1] - point[1]
    return f"{right:g} {down:g}"

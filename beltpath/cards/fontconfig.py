"""The card's faces made known to cairo in this process, whether the machine has fonts or not.

Cairo finds faces through fontconfig. Nothing is installed and nothing is left behind.
"""

from __future__ import annotations

import ctypes
import os
from functools import cache
from typing import Any

from beltpath.cards.face import path
from beltpath.cards.text import FAMILY, width
from beltpath.errors import ExportError

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

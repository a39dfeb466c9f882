"""Build the table of glyph widths from cairo's own metrics: ``python -m beltpath.card.metrics``.

The table ships with the package, so that a card comes out in the same bytes on every machine,
with or without cairo; a test compares it with cairo's metrics.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from beltpath.card.text import FAMILY, WIDTHS_FILE

EM = 1000
#: Latin with accents, Greek, Cyrillic, Hebrew, Arabic, general punctuation, arrows, mathematics.
RANGES = (
    (0x20, 0x7F),
    (0xA0, 0x250),
    (0x370, 0x400),
    (0x400, 0x460),
    (0x5D0, 0x5EB),
    (0x621, 0x64B),
    (0x2010, 0x2028),
    (0x2030, 0x2040),
    (0x20AC, 0x20AD),
    (0x2190, 0x2200),
    (0x2200, 0x2270),
)


def measure_font(bold: bool) -> dict[str, int]:
    """Advance widths in thousandths of an em by code point, as cairo gives them unhinted."""
    context = _context(bold)
    return {
        str(code): round(context.text_extents(chr(code))[4])
        for low, high in RANGES
        for code in range(low, high)
    }


def _context(bold: bool) -> Any:
    import cairocffi

    surface = cairocffi.RecordingSurface(cairocffi.CONTENT_COLOR_ALPHA, None)
    context = cairocffi.Context(surface)
    options = cairocffi.FontOptions(
        hint_style=cairocffi.HINT_STYLE_NONE, hint_metrics=cairocffi.HINT_METRICS_OFF
    )
    context.set_font_options(options)
    weight = cairocffi.FONT_WEIGHT_BOLD if bold else cairocffi.FONT_WEIGHT_NORMAL
    context.select_font_face(FAMILY, cairocffi.FONT_SLANT_NORMAL, weight)
    context.set_font_size(EM)
    return context


def tables() -> Iterator[tuple[str, dict[str, int]]]:
    """Both weights."""
    yield "regular", measure_font(False)
    yield "bold", measure_font(True)


def main() -> None:
    """Write the table where the package reads it."""
    target = Path(__file__).parents[1] / "data" / WIDTHS_FILE
    target.write_text(json.dumps(dict(tables()), separators=(",", ":")) + "\n", encoding="utf-8")
    sys.stdout.write(f"{target.name} written\n")


if __name__ == "__main__":
    main()

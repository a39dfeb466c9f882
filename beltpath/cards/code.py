"""The layout's text as a QR code (ISO/IEC 18004), so that a telephone can read it off the card."""

from __future__ import annotations

import segno

from beltpath.cards.page import ROW, Block, Column
from beltpath.cards.scene import Stamp, Words
from beltpath.cards.text import LEAST_SIZE
from beltpath.errors import LayoutError, UsageError
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse, toml_data
from beltpath.layout.toml import spare

#: Width of a module on paper, mm: a telephone still reads it off a print (common practice).
MODULE = 0.4
#: Light modules round the code that readers need.
QUIET = 4
#: What the code is for.
WORDS = "the layout, for a telephone"
#: Bytes that the largest code holds at the lowest correction level (ISO/IEC 18004, version 40-L).
MOST_BYTES = 2953


def code_text(layout: Layout) -> str:
    """The layout in the least text that is read as this very layout.

    It is written from the values in the layout's file and read back, for a code that carries
    another drive is worse than none. Raises UsageError where the two differ.
    """
    try:
        text = spare(toml_data(layout.text))
        again = parse(text, name=layout.name)
    except LayoutError as error:
        raise UsageError(f"no code can be drawn of this layout: {error}") from error
    if again != layout:
        raise UsageError(
            "no code can be drawn of this layout, for its values are not those of its text; write "
            "it to a file and read that"
        )
    return text


def code_block(layout: Layout, wide: float) -> Block:
    """The code with a line of words under it. Raises UsageError when it cannot be drawn."""
    rows = _modules(code_text(layout))
    side = (len(rows) + 2 * QUIET) * MODULE
    if side > wide:
        raise UsageError(
            f"the code of this layout would be {side:.0f} mm wide and the paper has {wide:.0f} mm; "
            f"choose larger paper or leave out --code"
        )

    def build(column: Column) -> None:
        at = (column.x + (column.wide - side) / 2.0 + QUIET * MODULE, column.y + QUIET * MODULE)
        column.items.append(Stamp(at=at, module=MODULE, rows=rows))
        below = (column.x + column.wide / 2.0, column.y + side + LEAST_SIZE)
        column.items.append(Words(text=WORDS, at=below, size=LEAST_SIZE, anchor="middle"))
        column.y += side + ROW

    return Block(name="code", title="The layout as a QR code", build=build)


def _modules(text: str) -> tuple[str, ...]:
    data = text.encode()
    if len(data) > MOST_BYTES:
        raise UsageError(
            f"the layout's text has {len(data)} bytes without its comments, and a QR code holds "
            f"{MOST_BYTES}; leave out --code"
        )
    code = segno.make_qr(data, error="l", mode="byte", boost_error=True)
    return tuple("".join("1" if dark else "0" for dark in row) for row in code.matrix)

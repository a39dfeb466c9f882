"""A thin replay of pages' primitives on a cairo surface: one PDF, or a picture a page.

The same primitives as `svg` writes, so a PDF needs no SVG to be written, parsed and drawn letter
by letter. Words are whole lines: a reader of the PDF finds and copies them as they stand.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from math import pi
from typing import Any

import cairocffi

from beltpath.cards.font import make_known
from beltpath.cards.paper import Ink, Paper
from beltpath.cards.scene import (
    COLOURS,
    Arc,
    Colour,
    Curve,
    Disc,
    Group,
    Item,
    Pen,
    Stamp,
    Words,
)
from beltpath.cards.text import FAMILY, shown

MM_PER_INCH = 25.4
#: Who a PDF says has made it.
MAKER = "beltpath"
#: Printer's points in a millimetre: what cairo measures a PDF page in.
POINTS = 72.0 / MM_PER_INCH
#: SVG's own limit for pointed corners, so that both drawings have the same.
MITER_LIMIT = 4.0
#: Letters stand where the font says, not on a grid of pixels.
UNHINTED = cairocffi.FontOptions(
    hint_style=cairocffi.HINT_STYLE_NONE, hint_metrics=cairocffi.HINT_METRICS_OFF
)


Sheet = tuple[Paper, Sequence[Item]]


def pdf(sheets: Sequence[Sheet], ink: Ink, title: str, attached: Mapping[str, str]) -> bytes:
    """Sheets as one PDF document, each in its own true size, with texts attached to it."""
    out = io.BytesIO()
    surface = cairocffi.PDFSurface(out, POINTS, POINTS)
    for paper, items in sheets:
        surface.set_size(paper.width * POINTS, paper.height * POINTS)
        context = cairocffi.Context(surface)
        context.scale(POINTS, POINTS)
        painted(context, items, ink)
        surface.show_page()
    surface.finish()
    return _finished(out.getvalue(), title, attached)


def _finished(document: bytes, title: str, attached: Mapping[str, str]) -> bytes:
    """The document under its title, with the texts, and without the hour at which it was drawn."""
    from pypdf import PdfReader, PdfWriter

    writer = PdfWriter()
    writer.append(PdfReader(io.BytesIO(document)))
    writer.add_metadata({"/Title": title, "/Creator": MAKER, "/Producer": MAKER})
    for name, text in attached.items():
        writer.add_attachment(name, text.encode())
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def png(paper: Paper, items: Sequence[Item], ink: Ink, dpi: float) -> bytes:
    """A sheet as a PNG picture."""
    dots = dpi / MM_PER_INCH
    size = (round(paper.width * dots), round(paper.height * dots))
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_RGB24, *size)
    context = cairocffi.Context(surface)
    context.set_source_rgb(*_parts(COLOURS[ink]["paper"]))
    context.paint()
    context.scale(dots, dots)
    painted(context, items, ink)
    out = io.BytesIO()
    surface.write_to_png(out)
    return out.getvalue()


def painted(context: Any, items: Sequence[Item], ink: Ink) -> None:
    """Draw primitives on a cairo context whose unit is the millimetre, y downward."""
    make_known()
    context.set_font_options(UNHINTED)
    context.set_miter_limit(MITER_LIMIT)
    brush = _Brush(context, ink)
    for item in items:
        brush.item(item)


class _Brush:
    """Draws primitives on one context in one kind of ink."""

    def __init__(self, context: Any, ink: Ink) -> None:
        self.context = context
        self.colours = {name: _parts(text) for name, text in COLOURS[ink].items()}

    def item(self, item: Item) -> None:
        match item:
            case Group():
                self._group(item)
            case Words():
                self._words(item)
            case Disc():
                self._disc(item)
            case Stamp():
                self._stamp(item)
            case Curve():
                self._curve(item)

    def _group(self, group: Group) -> None:
        if group.clip is not None:
            self.context.save()
            clip = group.clip
            self.context.rectangle(clip.x, clip.y, clip.width, clip.height)
            self.context.clip()
        for inner in group.items:
            self.item(inner)
        if group.clip is not None:
            self.context.restore()

    def _words(self, words: Words) -> None:
        context = self.context
        weight = cairocffi.FONT_WEIGHT_BOLD if words.bold else cairocffi.FONT_WEIGHT_NORMAL
        context.select_font_face(FAMILY, cairocffi.FONT_SLANT_NORMAL, weight)
        context.set_font_size(words.size)
        self._ink(words.colour)
        context.move_to(words.start, words.at[1])
        context.show_text(shown(words.text))

    def _disc(self, disc: Disc) -> None:
        self.context.new_sub_path()
        self.context.arc(*disc.centre, disc.radius, 0.0, 2.0 * pi)
        self.context.close_path()
        self._finish(disc.pen)

    def _stamp(self, stamp: Stamp) -> None:
        for x, y, wide in stamp.runs():
            self.context.rectangle(x, y, wide, stamp.module)
        self._ink("ink")
        self.context.fill()

    def _curve(self, curve: Curve) -> None:
        context = self.context
        context.move_to(*curve.start)
        for piece in curve.pieces:
            if isinstance(piece, Arc):
                along = context.arc if piece.sweep > 0 else context.arc_negative
                along(*piece.centre, piece.radius, piece.start, piece.start + piece.sweep)
            else:
                context.line_to(*piece.end)
        if curve.closed:
            context.close_path()
        self._finish(curve.pen)

    def _finish(self, pen: Pen) -> None:
        """Fill and stroke what is laid out, as the pen says."""
        context = self.context
        if pen.fill is not None:
            self._ink(pen.fill)
            context.fill_preserve()
        if pen.stroke is not None:
            self._ink(pen.stroke)
            context.set_line_width(pen.width)
            context.set_dash(pen.dash, pen.dash_start)
            join = cairocffi.LINE_JOIN_MITER if pen.dash else cairocffi.LINE_JOIN_ROUND
            context.set_line_join(join)
            context.stroke_preserve()
        context.new_path()

    def _ink(self, colour: Colour) -> None:
        self.context.set_source_rgb(*self.colours[colour])


def _parts(colour: str) -> tuple[float, float, float]:
    """Red, green and blue from 0 to 1 of a colour as SVG writes it, #rrggbb."""
    red, green, blue = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    return (red, green, blue)

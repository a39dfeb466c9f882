"""A thin replay of a page's primitives as SVG (svgwrite). The same page gives the same bytes.

Words are drawn as outlines of the card's own faces, so that a browser and an editor print them
alike where those faces are not installed. Every letter that occurs is defined once and used where
it stands. The text itself lies over its outlines unseen, to be found, selected and read aloud.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import pi
from typing import Any
from xml.etree import ElementTree

import svgwrite

from beltpath.cards import font
from beltpath.cards.paper import Box, Ink, Paper
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
from beltpath.cards.text import EM, shown, width
from beltpath.files.carried import LAYOUT_SPACE


def number(value: float) -> str:
    """A number as it stands in the file: three decimals at most, no trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def render(
    paper: Paper,
    items: tuple[Item, ...],
    *,
    title: str,
    description: str,
    ink: Ink = "colour",
    layout_text: str = "",
) -> str:
    """One page as the text of an SVG file in true millimetres; it carries its layout along."""
    drawing = svgwrite.Drawing(
        size=(f"{number(paper.width)}mm", f"{number(paper.height)}mm"),
        viewBox=f"0 0 {number(paper.width)} {number(paper.height)}",
        debug=False,
        role="img",
        font_family="sans-serif",
    )
    drawing.set_desc(title=title, desc=description)
    if layout_text:
        drawing.set_metadata(_carried(layout_text))
    drawing.add(
        drawing.rect(
            insert=("0", "0"),
            size=(number(paper.width), number(paper.height)),
            fill=COLOURS[ink]["paper"],
        )
    )
    pens = _Pens(COLOURS[ink])
    letters = _Letters(drawing)
    for item in items:
        for element in _elements(drawing, item, pens, letters):
            drawing.add(element)
    # As it stands, a reader of XML takes a carriage return for a line end.
    text: str = drawing.tostring().replace("\r", "&#13;")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _carried(layout_text: str) -> ElementTree.Element:
    """The layout's text as metadata, to be read back by `files.carried`."""
    element = ElementTree.Element(f"{{{LAYOUT_SPACE}}}layout")
    element.text = layout_text
    return element


class _Pens:
    """Turns pens into attributes for one kind of ink."""

    def __init__(self, colours: Mapping[Colour, str]) -> None:
        self.colours = colours

    def attributes(self, pen: Pen) -> dict[str, str]:
        found = {"fill": self.colours[pen.fill] if pen.fill else "none"}
        if pen.stroke is None:
            return found
        found["stroke"] = self.colours[pen.stroke]
        found["stroke_width"] = number(pen.width)
        if pen.dash:
            found["stroke_dasharray"] = " ".join(map(number, pen.dash))
            if pen.dash_start:
                found["stroke_dashoffset"] = number(pen.dash_start)
        else:
            found["stroke_linejoin"] = "round"
        return found


class _Letters:
    """Defines the outline of every letter where it first occurs."""

    def __init__(self, drawing: Any) -> None:
        self.drawing = drawing
        self.known: dict[tuple[str, bool], str] = {}

    def outlined(self, words: Words, colour: str) -> Any:
        """The outlines of a line of text."""
        start = f"{number(words.start)} {number(words.at[1])}"
        group = self.drawing.g(
            fill=colour, transform=f"translate({start}) scale({words.size / EM:.6g})"
        )
        along = 0
        for character in shown(words.text):
            name = self._name(character, words.bold)
            if name:
                group.add(self.drawing.use(f"#{name}", x=str(along)))
            along += round(width(character, EM, bold=words.bold))
        return group

    def _name(self, character: str, bold: bool) -> str:
        """What the outline of a letter is called in the file; empty for a blank."""
        if (character, bold) not in self.known:
            data = font.outline(character, bold=bold)
            name = f"{'b' if bold else 'r'}-{ord(character):x}" if data else ""
            if name:
                self.drawing.defs.add(self.drawing.path(d=data, id=name))
            self.known[character, bold] = name
        return self.known[character, bold]


def _elements(drawing: Any, item: Item, pens: _Pens, letters: _Letters) -> Iterator[Any]:
    match item:
        case Group():
            group = drawing.g(id=item.name)
            if item.clip is not None:
                group["clip-path"] = _clip(drawing, item.name, item.clip)
            if item.title or item.description:
                group.set_desc(title=item.title or None, desc=item.description or None)
            for inner in item.items:
                for element in _elements(drawing, inner, pens, letters):
                    group.add(element)
            yield group
        case Words():
            colour = pens.colours[item.colour]
            yield letters.outlined(item, colour)
            yield _unseen(drawing, item, colour)
        case Disc():
            yield drawing.circle(
                center=(number(item.centre[0]), number(item.centre[1])),
                r=number(item.radius),
                **pens.attributes(item.pen),
            )
        case Stamp():
            yield drawing.path(d=_runs(item), fill=pens.colours["ink"])
        case Curve():
            yield drawing.path(d=_path(item), **pens.attributes(item.pen))


def _unseen(drawing: Any, words: Words, colour: str) -> Any:
    """The text as text, as long as its outlines whatever face a viewer takes, and transparent."""
    return drawing.text(
        words.text,
        insert=(number(words.at[0]), number(words.at[1])),
        textLength=number(words.length),
        lengthAdjust="spacingAndGlyphs",
        font_size=number(words.size),
        fill=colour,
        fill_opacity="0",
        **({"font_weight": "bold"} if words.bold else {}),
        **({"text_anchor": words.anchor} if words.anchor != "start" else {}),
    )


def _clip(drawing: Any, name: str, box: Box) -> str:
    clip = drawing.clipPath(id=f"{name}-clip")
    clip.add(
        drawing.rect(
            insert=(number(box.x), number(box.y)), size=(number(box.width), number(box.height))
        )
    )
    drawing.defs.add(clip)
    return f"url(#{name}-clip)"


def _runs(stamp: Stamp) -> str:
    """The dark squares of every row, run by run."""
    high = number(stamp.module)
    return "".join(
        f"M{number(x)} {number(y)}h{number(wide)}v{high}h-{number(wide)}z"
        for x, y, wide in stamp.runs()
    )


def _path(curve: Curve) -> str:
    parts = [f"M{_pair(curve.start)}"]
    for piece in curve.pieces:
        if isinstance(piece, Arc):
            parts += _arcs(piece)
        else:
            parts.append(f"L{_pair(piece.end)}")
    return " ".join(parts) + (" Z" if curve.closed else "")


def _arcs(arc: Arc) -> list[str]:
    """An arc in two halves when it is large: SVG cannot draw a full turn in one."""
    shares = (0.5, 1.0) if abs(arc.sweep) > pi * 0.95 else (1.0,)
    flag = "1" if arc.sweep > 0 else "0"
    radius = number(arc.radius)
    return [f"A{radius} {radius} 0 0 {flag} {_pair(arc.at(share))}" for share in shares]


def _pair(point: tuple[float, float]) -> str:
    return f"{number(point[0])} {number(point[1])}"

"""A thin replay of a page's primitives as SVG (svgwrite). The same page gives the same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any
from xml.etree import ElementTree

import svgwrite

from beltpath.card.document import Ink
from beltpath.card.inks import COLOURS
from beltpath.card.paper import Box, Paper
from beltpath.card.scene import Arc, Colour, Curve, Disc, Group, Item, Pen, Stamp, Words
from beltpath.card.text import FAMILIES
from beltpath.embedded import LAYOUT_SPACE


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
    for item in items:
        drawing.add(_element(drawing, item, pens))
    text: str = drawing.tostring()
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _carried(layout_text: str) -> ElementTree.Element:
    """The layout's text as metadata, to be read back by `embedded.layout_texts`."""
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


def _element(drawing: Any, item: Item, pens: _Pens) -> Any:
    match item:
        case Group():
            group = drawing.g(id=item.name)
            if item.clip is not None:
                group["clip-path"] = _clip(drawing, item.name, item.clip)
            if item.title or item.description:
                group.set_desc(title=item.title or None, desc=item.description or None)
            for inner in item.items:
                group.add(_element(drawing, inner, pens))
            return group
        case Words():
            return drawing.text(
                item.text,
                insert=(number(item.at[0]), number(item.at[1])),
                font_family=FAMILIES,
                font_size=number(item.size),
                fill=pens.colours[item.colour],
                **({"font_weight": "bold"} if item.bold else {}),
                **({"text_anchor": item.anchor} if item.anchor != "start" else {}),
            )
        case Disc():
            return drawing.circle(
                center=(number(item.centre[0]), number(item.centre[1])),
                r=number(item.radius),
                **pens.attributes(item.pen),
            )
        case Stamp():
            return drawing.path(d=_runs(item), fill=pens.colours["ink"])
        case Curve():
            return drawing.path(d=_path(item), **pens.attributes(item.pen))


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

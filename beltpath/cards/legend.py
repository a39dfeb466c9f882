"""The legend: what the signs mean that are on this card, and no others."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from beltpath.cards.page import ROW, Block, Column
from beltpath.cards.pulleys import fault_sign
from beltpath.cards.scene import Disc, Item, Pen, arrow_head, line
from beltpath.cards.text import LEAST_SIZE, width
from beltpath.geometry import TAU
from beltpath.layout.keys import Face
from beltpath.studies import Study

#: Draws a sign 6 mm wide with its left edge and its middle at x, y.
Sign = Callable[[float, float], list[Item]]
#: How far a sign's words stand behind its left edge, and the space behind them, mm.
BEHIND, APART = 7.2, 2.5


def legend(study: Study) -> Block:
    """The signs with their words, side by side in as many rows as they take."""

    def build(column: Column) -> None:
        at = 0.0
        for sign, words in _signs(study):
            need = BEHIND + width(words, LEAST_SIZE) + APART
            if at + need > column.wide + APART and at > 0.0:
                at, column.y = 0.0, column.y + ROW + 0.6
            column.items += sign(column.x + at, column.y + ROW / 2.0 - 0.2)
            column.text(words, at + BEHIND)
            at += need
        column.y += ROW + 0.6

    return Block(name="legend", title="Signs", build=build)


def _signs(study: Study) -> Iterator[tuple[Sign, str]]:
    belt = study.layout.belt
    faces = {pulley.face for pulley in study.layout.pulleys.values()}
    if "grooved" in faces:
        yield partial(face_sign, "grooved"), "grooved"
    if "smooth" in faces:
        yield partial(face_sign, "smooth"), "smooth"
    if belt.double_sided:
        yield _double_sign, "belt, teeth on both sides"
    else:
        yield _belt_sign, f"belt, teeth on its {'ribbed' if belt.section.ribbed else 'V'} side"
    yield _travel_sign, "travel"
    if study.stand is not None:
        yield _stops_sign, "stops"
        if study.stand.tensioner.window is not None:
            yield _window_sign, "window: stand here"
    if any(finding.level == "fault" and finding.where for finding in study.findings):
        yield _fault_sign, "place of a fault"


def face_sign(face: Face, x: float, y: float) -> list[Item]:
    """The sign of a grooved or a smooth pulley."""
    centre = (x + 3.0, y)
    rim = Disc(centre=centre, radius=1.7, pen=Pen(width=0.3))
    if face == "smooth":
        return [rim, Disc(centre=centre, radius=1.0, pen=Pen(width=0.2))]
    pitch = TAU * 1.3 / 9
    return [
        rim,
        Disc(centre=centre, radius=1.3, pen=Pen(width=0.8, dash=(pitch * 0.4, pitch * 0.6))),
    ]


def _belt_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y - 0.2), (x + 6.0, y - 0.2), Pen(width=0.8)),
        line((x + 0.5, y + 0.6), (x + 6.0, y + 0.6), Pen(width=0.85, dash=(0.45, 0.7))),
    ]


def _travel_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y), (x + 6.0, y), Pen(width=0.8)),
        arrow_head((x + 4.8, y), (1.0, 0.0), 3.2, "accent"),
    ]


def _double_sign(x: float, y: float) -> list[Item]:
    return [
        *_belt_sign(x, y),
        line((x + 0.5, y - 1.0), (x + 6.0, y - 1.0), Pen(width=0.85, dash=(0.45, 0.7))),
    ]


def _stops_sign(x: float, y: float) -> list[Item]:
    """A tensioner's travel between its two stops, as it is on the drawing."""
    return [
        line((x + 0.8, y), (x + 5.8, y), Pen(width=0.25, dash=(1.0, 0.7))),
        *(line((at, y - 1.2), (at, y + 1.2), Pen(width=0.4)) for at in (x + 0.8, x + 5.8)),
    ]


def _window_sign(x: float, y: float) -> list[Item]:
    return [
        line((x + 0.5, y), (x + 6.0, y), Pen(width=0.25, dash=(1.0, 0.7))),
        line((x + 1.6, y), (x + 4.9, y), Pen(width=0.8)),
    ]


def _fault_sign(x: float, y: float) -> list[Item]:
    return list(fault_sign((x + 3.0, y)))

"""Signs of a drawing that stand for one thing each: a pulley's face, a fault's place."""

from __future__ import annotations

from collections.abc import Iterator

from beltpath.cards.scene import Disc, Item, Pen, line
from beltpath.geometry import TAU, Point

#: A smaller disc has no room for its face and its hub; the table tells its face, mm.
LEAST_FACE = 1.6
#: Radius of a fault's mark, mm.
MARK = 1.6


def face_items(centre: Point, radius: float, grooved: bool, heavy: bool) -> Iterator[Item]:
    """A grooved rim wears a ring of ticks, a smooth one a second circle; the crank a heavy edge."""
    yield Disc(centre=centre, radius=radius, pen=Pen(width=0.6 if heavy else 0.3, fill="paper"))
    if radius < LEAST_FACE:
        return
    depth = min(1.0, radius * 0.18)
    if grooved:
        ticks = max(12, round(TAU * radius / 0.95))
        pitch = TAU * (radius - depth / 2.0) / ticks
        pen = Pen(width=depth, dash=(pitch * 0.35, pitch * 0.65))
        yield Disc(centre=centre, radius=radius - depth / 2.0, pen=pen)
    else:
        yield Disc(centre=centre, radius=radius - depth, pen=Pen(width=0.2))


def fault_sign(at: Point) -> Iterator[Item]:
    """A crossed circle at the place of a fault."""
    x, y = at
    pen = Pen(stroke="fault", width=0.5)
    yield Disc(centre=at, radius=MARK, pen=pen)
    for reach in (-1.13, 1.13):
        yield line((x - reach, y - 1.13), (x + reach, y + 1.13), pen)

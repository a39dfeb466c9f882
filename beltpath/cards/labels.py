"""The labelling engine: every label gets a free place near what it names, with a leader to it.

No label may lie on the belt, on a pulley that it does not name, on another label or a leader, or
outside the area. Among free places the nearest wins, with a price for a leader that crosses the
belt. Labels are placed in turn, the hardest first; one that then finds no place goes first in the
next round.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np
import numpy.typing as npt
import shapely

from beltpath.cards.collide import (
    Bools,
    Floats,
    boxes_overlap,
    boxes_touch_discs,
    segments_cross_boxes,
    segments_near,
    segments_touch_discs,
    widened,
)
from beltpath.cards.paper import Box
from beltpath.cards.text import ASCENT, DESCENT, LINE, width
from beltpath.geometry import Point

#: Room kept round a label, and between a disc and its label, mm.
AIR = 0.7
GAP = 1.6
#: How far from its label a leader starts, so that it is not read as a dash or a minus, mm.
CLEAR = 0.6
DIRECTIONS = 24
#: How far out labels are tried, in steps of `STEP` mm.
STEPS = 12
STEP = 2.5
CHUNK = 48
#: What a leader that crosses the belt costs, in mm of distance.
BELT_PRICE = 7.0
#: What it costs to give up a label's full text for its short form.
SHORT_PRICE = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """The lines of a label, set centred under one another."""

    lines: tuple[str, ...]
    size: float
    bold: bool = False

    @property
    def width(self) -> float:
        """Printed width, mm."""
        return max(width(line, self.size, bold=self.bold) for line in self.lines)

    @property
    def height(self) -> float:
        """Printed height, mm."""
        return ((len(self.lines) - 1) * LINE + ASCENT + DESCENT) * self.size


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """A label that wants a place: what it says, and the disc (radius 0: a point) that it names.

    `inside` is the radius within which it may lie on its own disc, None where it may not. `owner`
    is the obstacle that the label may touch and its leader may enter, `also` names further ones
    that its leader may enter. `short` is a text to fall
    back to when there is no room for the full one.
    """

    key: str
    text: Text
    target: Point
    reach: float = 0.0
    inside: float | None = None
    owner: str | None = None
    also: tuple[str, ...] = ()
    short: Text | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label in its place; `leader` runs from the label to what it names, None when inside."""

    request: Request
    text: Text
    box: Box
    leader: tuple[Point, Point] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What labels must keep off: the area's edge, the belt, named discs and named other shapes."""

    area: Box
    belt: shapely.Geometry
    discs: Mapping[str, tuple[Point, float]]
    shapes: Mapping[str, shapely.Geometry]


@dataclass(frozen=True, slots=True)
class _Candidates:
    """Every place that one label could take, row by row, the cheapest first."""

    request: Request
    form: npt.NDArray[np.int64]
    boxes: Floats
    leaders: Floats
    cost: Floats

    def keep(self, mask: Bools | npt.NDArray[np.int64]) -> _Candidates:
        return _Candidates(
            self.request, self.form[mask], self.boxes[mask], self.leaders[mask], self.cost[mask]
        )


def place(requests: Sequence[Request], ground: Ground) -> tuple[Placed, ...] | None:
    """A place for every label, or None when some label finds no free place."""
    shapely.prepare(ground.belt)
    fields = {request.key: _free(request, ground) for request in requests}
    order = sorted(requests, key=lambda r: (len(fields[r.key].cost), r.key))
    for _ in range(len(order) + 1):
        taken: dict[str, int] = {}
        stuck = _fill(fields, order, taken)
        if stuck is None:
            return tuple(_placed(fields[r.key], taken[r.key]) for r in requests)
        if stuck is order[0]:
            return None
        order = [stuck, *(request for request in order if request is not stuck)]
    return None


def _fill(
    fields: Mapping[str, _Candidates], order: Sequence[Request], taken: dict[str, int]
) -> Request | None:
    """Give every label in turn its cheapest free place; the first that finds none, if any."""
    for request in order:
        best = _best(fields[request.key], [(fields[key], row) for key, row in taken.items()])
        if best is None:
            return request
        taken[request.key] = best
    return None


def _best(mine: _Candidates, others: Sequence[tuple[_Candidates, int]]) -> int | None:
    """The cheapest place of a label that keeps off all the others."""
    if not others or not len(mine.cost):
        return 0 if len(mine.cost) else None
    boxes = np.array([field.boxes[row] for field, row in others])
    leaders = np.array([field.leaders[row] for field, row in others])
    for start in range(0, len(mine.cost), CHUNK):
        part = slice(start, start + CHUNK)
        free = ~_conflicts(mine.boxes[part], mine.leaders[part], boxes, leaders)
        if free.any():
            return start + int(free.argmax())
    return None


def _conflicts(boxes: Floats, leaders: Floats, taken: Floats, lines: Floats) -> Bools:
    """Which places collide with a label or leader that is already there."""
    table = (
        boxes_overlap(boxes, widened(taken, AIR))
        | segments_cross_boxes(leaders, widened(taken, AIR / 2.0))
        | segments_cross_boxes(lines, widened(boxes, AIR / 2.0)).T
        | segments_near(leaders, lines, AIR)
    )
    found: Bools = np.any(table, axis=1)
    return found


def _free(request: Request, ground: Ground) -> _Candidates:
    """All candidates of a label that keep off the ground, the cheapest first."""
    found = _candidates(request)
    area, boxes = ground.area, found.boxes
    found = found.keep(
        (boxes[:, 0] >= area.x)
        & (boxes[:, 1] >= area.y)
        & (boxes[:, 2] <= area.right)
        & (boxes[:, 3] <= area.bottom)
    )
    found = found.keep(~_on_discs(found, request, ground))
    found = found.keep(~_on_shapes(found, request, ground))
    cost = found.cost + BELT_PRICE * _meet(ground.belt, _lines(found))
    found = _Candidates(request, found.form, found.boxes, found.leaders, cost)
    return found.keep(np.argsort(cost, kind="stable"))


def _on_discs(found: _Candidates, request: Request, ground: Ground) -> Bools:
    """Places on a pulley; a label inside its own disc is meant to be there."""
    names = list(ground.discs)
    if not names:
        return np.zeros(len(found.cost), dtype=bool)
    centres = np.array([ground.discs[name][0] for name in names])
    radii = np.array([ground.discs[name][1] for name in names])
    boxes = boxes_touch_discs(found.boxes, centres, radii + AIR)
    lines = segments_touch_discs(found.leaders, centres, radii + AIR / 2.0)
    own = np.array([name == request.owner for name in names])
    entered = np.array([name in (request.owner, *request.also) for name in names])
    inside = _is_inside(found)
    bad: Bools = ((boxes & ~(own[None] & inside[:, None])) | (lines & ~entered[None])).any(axis=1)
    return bad


def _on_shapes(found: _Candidates, request: Request, ground: Ground) -> Bools:
    """Places on the belt or on another shape; leaders may cross the belt, and touch their own."""
    wide = shapely.box(*widened(found.boxes, AIR).T)
    bad = _meet(ground.belt, wide)
    lines = _lines(found)
    for name, shape in ground.shapes.items():
        shapely.prepare(shape)
        bad |= _meet(shape, wide)
        if name != request.owner:
            bad |= _meet(shape, lines)
    return bad


def _meet(shape: shapely.Geometry, others: npt.NDArray[np.object_]) -> Bools:
    met: Bools = np.atleast_1d(shapely.intersects(shape, others)).astype(np.bool_)
    return met


def _is_inside(found: _Candidates) -> Bools:
    inside: Bools = (found.leaders[:, 0] == found.leaders[:, 1]).all(axis=1)
    return inside


def _lines(found: _Candidates) -> npt.NDArray[np.object_]:
    lines: npt.NDArray[np.object_] = shapely.linestrings(found.leaders)
    return lines


def _candidates(request: Request) -> _Candidates:
    forms = [request.text] if request.short is None else [request.text, request.short]
    rows = [row for i, text in enumerate(forms) for row in _rows(request, i, text)]
    form, cost, boxes, leaders = zip(*rows, strict=True)
    return _Candidates(
        request,
        np.array(form, dtype=np.int64),
        np.array(boxes, dtype=np.float64),
        np.array(leaders, dtype=np.float64),
        np.array(cost, dtype=np.float64),
    )


_Row = tuple[int, float, tuple[float, float, float, float], tuple[Point, Point]]


def _rows(request: Request, form: int, text: Text) -> list[_Row]:
    w, h = text.width / 2.0, text.height / 2.0
    x, y = request.target
    price = SHORT_PRICE * form
    rows: list[_Row] = []
    if request.inside is not None and w * w + h * h <= request.inside**2:
        rows.append((form, price - GAP, (x - w, y - h, x + w, y + h), (request.target,) * 2))
    for i in range(DIRECTIONS):
        angle = 2.0 * pi * i / DIRECTIONS
        ux, uy = cos(angle), sin(angle)
        # The box's own half extent along this direction, so that its near edge starts at the gap.
        extent = min(w / abs(ux) if abs(ux) > 1e-9 else 1e9, h / abs(uy) if abs(uy) > 1e-9 else 1e9)
        for k in range(STEPS):
            away = GAP + k * STEP
            middle = request.reach + away + extent
            cx, cy = x + ux * middle, y + uy * middle
            end = (x + ux * request.reach, y + uy * request.reach)
            near = middle - extent - CLEAR
            edge = (x + ux * near, y + uy * near)
            # Straight to the side reads best; straight above or below next.
            slant = 0.6 * abs(sin(2.0 * angle))
            rows.append((form, price + away + slant, (cx - w, cy - h, cx + w, cy + h), (edge, end)))
    return rows


def _placed(candidates: _Candidates, row: int) -> Placed:
    request = candidates.request
    x0, y0, x1, y1 = (float(v) for v in candidates.boxes[row])
    a, b = ((float(p[0]), float(p[1])) for p in candidates.leaders[row])
    text = request.text if candidates.form[row] == 0 else request.short
    return Placed(
        request=request,
        text=text or request.text,
        box=Box(x=x0, y=y0, width=x1 - x0, height=y1 - y0),
        leader=None if a == b else (a, b),
    )

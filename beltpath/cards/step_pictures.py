"""A strip of small pictures, one for each step of taking the belt off and putting it on.

A picture is one state: the belt as it lies while the step is done, the tensioner where it then is.
Only what the step changes or looks at is dark; the rest is thin. What the text names wears its
number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import cos, hypot, inf, radians, sin
from typing import Literal

import shapely

from beltpath.cards import belt as belts
from beltpath.cards.diagram import EDGE, extent, frame_for, kept_in
from beltpath.cards.paper import Box
from beltpath.cards.pulleys import face_items
from beltpath.cards.scene import (
    LEAST_LINE,
    Arc,
    Curve,
    Disc,
    Group,
    Item,
    Pen,
    To,
    Words,
    angle_of,
    arrow_head,
    line,
    rectangle,
    sampled,
    turning_arrow,
    union,
)
from beltpath.cards.tensioner import tensioner_items
from beltpath.cards.text import CAPITAL, LEAST_SIZE, LINE, shorten, width, wrap
from beltpath.cards.view import Frame, View
from beltpath.geometry import TAU, Point, distance
from beltpath.layout.layout import Sense
from beltpath.refit.steps import Kind, Place, Step, Tensioning, held_runs, tensioning
from beltpath.solve.path import BeltPath
from beltpath.solve.tensioner import Stand, Travel
from beltpath.studies import Study

#: A picture is at least this wide, mm, and this much higher than wide with its caption.
LEAST_WIDTH = 40.0
PICTURE_SHARE = 0.86
CAPTION_LINES = 2
GAP = 2.0
#: A disc smaller than this on paper carries its number beside it, mm.
LEAST_NUMBERED = 2.6
#: One smaller than this has its arrow of turning, and its number then, outside it, mm.
LEAST_TURNED = 4.2
#: How a thin belt is drawn, mm.
THIN = 0.3
#: How near a loose belt hangs to the pulley that it is off, mm.
BESIDE = 2.0
#: How often a loose belt is bowed further to keep off its pulley, half a millimetre each time.
BOWS = 30

_CAPTIONS: Mapping[Kind, str] = {
    "compare": "compare, mark the travel",
    "slacken": "lever over, hold",
    "cut": "cut it through",
    "off": "off here first",
    "settle": "let back slowly",
    "rest": "off the others",
    "spin": "spin by hand",
    "check": "belt and grooves",
    "thread": "on in this order",
    "on": "on here last",
    "walk": "turn: it walks on",
    "tighten": "tighten, bolt down",
    "turn": "turn by hand",
    "run": "run, stop, look",
}
_OWN_CAPTIONS: Mapping[tuple[Tensioning, Kind], str] = {
    ("elastic", "compare"): "compare first",
    ("slide", "slacken"): "push over, hold",
    ("swing", "slacken"): "loosen, swing",
    ("fixed", "slacken"): "loosen, move it",
    ("elastic", "on"): "start it here",
}

Shown = Literal["dark", "at", "thin"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a picture shows: the drive as the step has it, and what of it is dark.

    `belt` is dark as a whole, dark at the pulley that the step names, or thin. `lever` and
    `pointer` are +1 for the way that slackens or takes off, -1 for the way back, 0 for no arrow.
    """

    study: Study
    step: Step
    belt: Shown = "thin"
    dark: frozenset[str] = frozenset()
    tensioner: bool = False
    lever: int = 0
    pointer: int = 0
    crank: bool = False
    cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One picture of the strip: its step and its look."""

    step: Step
    look: Look


def cells(study: Study) -> tuple[Cell, ...]:
    """The pictures of a study's steps, in order."""
    places: Mapping[Place, Study] = {
        "stands": study,
        "slack": _standing(study, "slack"),
        "free": _standing(study, "free"),
    }
    return tuple(
        Cell(step=step, look=_look(places[step.place], step))
        for step in (*study.refit.off, *study.refit.on)
    )


def grid(box: Box, count: int, columns: int) -> Iterator[Box]:
    """Boxes for so many pictures in so many columns; those that find no room are left out."""
    wide = (box.width - (columns - 1) * GAP) / columns
    high = wide * PICTURE_SHARE + CAPTION_LINES * LEAST_SIZE * LINE
    for i in range(count):
        row, column = divmod(i, columns)
        cell = Box(
            x=box.x + column * (wide + GAP), y=box.y + row * (high + GAP), width=wide, height=high
        )
        if cell.bottom <= box.bottom:
            yield cell


def places_for(study: Study, box: Box) -> list[Box]:
    """The places on a page: as large as they can be on no more pages than the smallest take."""
    count = len(study.refit.off) + len(study.refit.on)
    most = max(1, int((box.width + GAP) // (LEAST_WIDTH + GAP)))
    tried = [list(grid(box, count, columns)) for columns in range(1, most + 1)]
    longest = max(map(len, _runs(study)))
    fit = [places for places in tried if len(places) >= longest]
    return min(fit, key=lambda places: len(list(paged(study, len(places)))), default=[])


def pages(study: Study, box: Box, view: View) -> Iterator[tuple[Group, ...]]:
    """The strip on as many pages as it takes; `box` is what each may print on.

    Steps between which a lever is held over stand on one page.
    """
    every = cells(study)
    places = places_for(study, box)
    if not places:
        return
    frame = common_frame(every, places[0], view)
    number = 0
    for page in paged(study, len(places)):
        shown = every[number : number + len(page)]
        yield tuple(
            _picture(number + i, cell, place, _shifted(frame, places[0], place))
            for i, (cell, place) in enumerate(zip(shown, places, strict=False), start=1)
        )
        number += len(page)


def _runs(study: Study) -> list[tuple[Step, ...]]:
    return [*held_runs(study.refit.off), *held_runs(study.refit.on)]


def paged(study: Study, room: int) -> Iterator[list[Step]]:
    """The steps page by page, `room` pictures on each; no page ends while a lever is held."""
    page: list[Step] = []
    for run in _runs(study):
        if page and len(page) + len(run) > room:
            yield page
            page = []
        page += run
    yield page


# --- what each step shows ------------------------------------------------------------------------


def _look(study: Study, step: Step) -> Look:
    look = Look(study=study, step=step)
    every = frozenset(study.refit.order)
    named = frozenset(step.pulleys)
    match step.kind:
        case "slacken" | "settle" | "tighten":
            way = 1 if step.kind == "slacken" else -1
            if not named:
                return replace(look, belt="dark")
            return replace(look, dark=named, tensioner=True, lever=way)
        case "off" | "on":
            way = 1 if step.kind == "off" else -1
            return replace(look, belt="at", dark=named, pointer=way)
        case "spin" | "check":
            return replace(look, dark=every, crank=_spins(study, step))
        case "walk":
            return replace(look, belt="at", dark=named, crank=True)
        case "turn":
            return replace(look, dark=named, crank=True)
        case _:
            return replace(look, belt="dark", cut=step.kind == "cut")


def _spins(study: Study, step: Step) -> bool:
    """Whether the crank is turned too: one that is kept blocked is not."""
    return step.kind == "spin" and study.layout.driver != "other"


def _standing(study: Study, where: Literal["slack", "free"]) -> Study:
    """The study with its tensioner moved: to the end with most slack, or to its free end."""
    stand = study.stand
    if stand is None:
        return study
    t = stand.tensioner
    travel = Travel(t, study.drive.as_measured, study.layout.pulleys[t.pulley].at)
    position = stand.usable[0]
    if where == "slack":
        position = min(stand.usable, key=lambda end: travel.path_at(end).length)
    return _moved(study, stand, travel, position)


def _moved(study: Study, stand: Stand, travel: Travel, position: float) -> Study:
    path = travel.path_at(position)
    there = replace(stand, position=position, at=travel.centre(position), path=path)
    return replace(study, drive=replace(study.drive, path=path, stand=there))


# --- one picture ---------------------------------------------------------------------------------


def common_frame(every: Sequence[Cell], place: Box, view: View) -> Frame:
    """One frame for all pictures, so that only what a step moves looks moved."""
    world = union([extent(cell.look.study, view) for cell in every])
    picture = _picture_box(place)
    room = picture.shrunk(EDGE + 1.0)
    scale = min(room.width / world.width, room.height / world.height, 1.0)
    return kept_in(
        picture.shrunk(0.8),
        world,
        frame_for(world, room, view, scale),
        lambda there: chain.from_iterable(_signs(cell.look, there) for cell in every),
    )


def _shifted(frame: Frame, old: Box, new: Box) -> Frame:
    x, y = frame.origin
    return replace(frame, origin=(x + new.x - old.x, y + new.y - old.y))


def _picture_box(place: Box) -> Box:
    caption = CAPTION_LINES * LEAST_SIZE * LINE
    return Box(x=place.x, y=place.y, width=place.width, height=place.height - caption)


def _picture(number: int, cell: Cell, place: Box, frame: Frame) -> Group:
    items = [
        rectangle(place, Pen(stroke="grey", width=0.2)),
        *_drive(cell.look, frame, _picture_box(place).shrunk(0.6)),
        *_caption(cell, place),
    ]
    return Group(
        name=f"step-{number}", items=tuple(items), title=cell.step.text, clip=place.shrunk(-0.2)
    )


def _caption(cell: Cell, place: Box) -> Iterator[Item]:
    step, study = cell.step, cell.look.study
    how = tensioning(study.drive)
    told = _OWN_CAPTIONS.get((how, step.kind), _CAPTIONS[step.kind])
    text = f"{step.half} {step.number}: {told}"
    if step.kind in ("off", "on"):
        title = study.layout.pulleys[step.pulleys[0]].title
        text += f" ({shorten(title, place.width - 6.0, LEAST_SIZE)})"
    lines = wrap(text, place.width - 3.0, LEAST_SIZE, bold=True)[:CAPTION_LINES]
    top = place.bottom - CAPTION_LINES * LEAST_SIZE * LINE
    for i, words in enumerate(lines):
        at = (place.x + 1.5, top + (i + 0.75) * LEAST_SIZE * LINE)
        yield Words(text=words, at=at, size=LEAST_SIZE, bold=i == 0)


def _drive(look: Look, frame: Frame, box: Box) -> Iterator[Item]:
    study = look.study
    arm = tensioner_items(study.stand, frame, lever=False)
    yield from arm if look.tensioner else map(thin, arm)
    for name, centre, radius in discs(study, frame):
        grooved = study.layout.pulleys[name].face == "grooved"
        face = face_items(centre, radius, grooved, name in look.dark)
        yield from face if name in look.dark else map(thin, face)
    yield from _belt(look, frame)
    yield from _numbers(look, frame, box)
    yield from _arrows(look, frame)


def _signs(look: Look, frame: Frame) -> Iterator[Item]:
    """What keeps its size on paper however small the drive is drawn."""
    yield from tensioner_items(look.study.stand, frame, lever=False)
    yield from _arrows(look, frame)


def thin(item: Item) -> Item:
    """The same item as something that a step does not touch: in the thinnest line there is."""
    if not isinstance(item, Curve | Disc) or item.pen.stroke is None:
        return item
    pen = item.pen
    if pen.dash and pen.width > 2 * LEAST_LINE and isinstance(item, Disc):
        # The ticks of a grooved face: shorter, still at the rim.
        short = pen.width / 2.0
        grown = item.radius + short / 2.0
        return replace(item, radius=grown, pen=replace(pen, stroke="grey", width=short))
    return replace(item, pen=replace(pen, stroke=_paler(pen), width=LEAST_LINE))


def _paler(pen: Pen) -> Literal["grey", "paper"]:
    return "paper" if pen.stroke == "paper" else "grey"


def discs(study: Study, frame: Frame) -> Iterator[tuple[str, Point, float]]:
    """Every pulley that the belt meets: its name, centre and radius on a small picture's paper."""
    path, belt = study.path, study.layout.belt
    for i, contact in enumerate(path.contacts):
        centre = frame.point(contact.centre)
        yield contact.pulley, centre, belts.disc_radius(path, i, frame, belt, belts.SMALL)


# --- the belt ------------------------------------------------------------------------------------


def _belt(look: Look, frame: Frame) -> Iterator[Item]:
    study, step = look.study, look.step
    path, belt = study.path, study.layout.belt
    if step.belt == "none":
        return
    if step.belt == "loose":
        yield from _lines(lambda off: _loose(study, frame, off), look)
        return
    yield from _lines(lambda off: belts.outline(path, frame, off), look)
    if look.belt == "at":
        i = path.index(step.pulleys[-1])
        yield from belts.laid(
            lambda off: _at(study, frame, i, off), belt, belts.SMALL, closed=False
        )
    if step.kind in ("compare", "cut", "run"):
        yield from belts.arrows(path, frame, belts.SMALL)
    if look.cut:
        yield from _cut(study, frame)


def _lines(
    line_at: Callable[[float], tuple[Point, tuple[To | Arc, ...]]], look: Look
) -> Iterator[Item]:
    """A closed belt along a line: dark with its ribs, or thin."""
    if look.belt == "dark":
        yield from belts.laid(line_at, look.study.layout.belt, belts.SMALL, closed=True)
        return
    start, pieces = line_at(0.0)
    yield Curve(start=start, pieces=pieces, pen=Pen(stroke="grey", width=THIN), closed=True)


def _at(study: Study, frame: Frame, i: int, offset: float) -> tuple[Point, tuple[To | Arc, ...]]:
    """The line round contact `i`, with the half of either span that is next to it."""
    count = len(study.path.contacts)
    start, pieces = belts.stretch(study.path, frame, [i], offset)
    _, before = belts.stretch(study.path, frame, [(i - 1) % count], offset)
    after, _ = belts.stretch(study.path, frame, [(i + 1) % count], offset)
    came = _halfway(before[-1].end, start)
    return came, (To(start), *pieces, To(_halfway(pieces[-1].end, after)))


def _halfway(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)


def _loose(study: Study, frame: Frame, offset: float) -> tuple[Point, tuple[To | Arc, ...]]:
    """The line round every pulley but the last one, beside which it hangs, inside the loop."""
    path = study.path
    count = len(path.contacts)
    off = path.index(study.refit.last_on)
    others = [(off + step) % count for step in range(1, count)]
    start, pieces = belts.stretch(path, frame, others, offset)
    first, rest = belts.stretch(path, frame, others)
    centre = frame.point(path.contacts[off].centre)
    clear = belts.disc_radius(path, off, frame, study.layout.belt, belts.SMALL) + BESIDE
    ux, uy = _wrap_middle(path, off, frame)
    inwards = -1.0 if path.contacts[off].sign == path.loop else 1.0
    bights = [
        _bight(rest[-1].end, first, centre, (side * ux, side * uy), clear)
        for side in (inwards, -inwards)
    ]
    # Into the loop, unless it would lie across the other spans there.
    spans = shapely.LineString(sampled(first, rest))
    free = [bow for bow in bights if not shapely.LineString(bow[1:-1]).intersects(spans)]
    bight = (free or bights)[0]
    ribs = offset * path.loop * frame.view.handed
    return start, (*pieces, *(To(point) for point in _beside(bight, ribs)), To(start))


def _wrap_middle(path: BeltPath, i: int, frame: Frame) -> Point:
    """The direction on paper from a pulley's centre to the middle of the belt that lies on it."""
    contact = path.contacts[i]
    enter = angle_of(frame.point(contact.centre), frame.point(contact.enter))
    angle = enter - contact.sign * frame.view.handed * contact.wrap / 2.0
    return cos(angle), sin(angle)


def _bight(a: Point, b: Point, centre: Point, away: Point, clear: float) -> list[Point]:
    """Points of a bow from `a` to `b` that keeps `clear` of a centre, on one side of it."""
    middle = _halfway(a, b)
    bow: list[Point] = []
    for step in range(BOWS):
        reach = clear + step * 0.5
        top = (centre[0] + away[0] * reach, centre[1] + away[1] * reach)
        bow = list(_bow(a, (2 * top[0] - middle[0], 2 * top[1] - middle[1]), b))
        if min(distance(point, centre) for point in bow) >= clear - 0.1:
            break
    return bow


def _bow(a: Point, towards: Point, b: Point) -> Iterator[Point]:
    """A parabola from `a` to `b`, whose tangents at its ends meet at a third point."""
    for k in range(17):
        t = k / 16.0
        shares = ((1 - t) ** 2, 2 * t * (1 - t), t * t)
        x, y = (
            sum(share * point[i] for share, point in zip(shares, (a, towards, b), strict=True))
            for i in (0, 1)
        )
        yield x, y


def _beside(points: Sequence[Point], offset: float) -> Iterator[Point]:
    """The inner points of a run, moved to the left of its way as seen, y still up."""
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = hypot(dx, dy) or 1.0
        yield here[0] + dy / length * offset, here[1] - dx / length * offset


def _cut(study: Study, frame: Frame) -> Iterator[Item]:
    """A cross where the belt is cut: in the middle of its longest span."""
    span = max(study.path.spans, key=lambda span: span.length)
    a, b = frame.point(span.leave), frame.point(span.enter)
    # Beside the arrow of travel that the middle carries.
    x, y = a[0] + (b[0] - a[0]) * 0.25, a[1] + (b[1] - a[1]) * 0.25
    pen = Pen(stroke="accent", width=0.7)
    yield line((x - 2.0, y - 2.0), (x + 2.0, y + 2.0), pen)
    yield line((x - 2.0, y + 2.0), (x + 2.0, y - 2.0), pen)


# --- numbers and arrows --------------------------------------------------------------------------


def _numbers(look: Look, frame: Frame, box: Box) -> Iterator[Item]:
    """The number of each pulley that the text names: in its disc, or beside one that is small."""
    every = list(discs(look.study, frame))
    solid = [shapely.Point(centre).buffer(radius + 0.2) for _, centre, radius in every]
    # Where belt and signs are, so that a number beside its disc keeps off them.
    taken = shapely.union_all(
        [
            *solid,
            *(
                _covered(item)
                for item in chain(_belt(look, frame), _signs(look, frame))
                if isinstance(item, Curve)
            ),
        ]
    )
    for name, centre, radius in every:
        if name not in look.step.pulleys:
            continue
        number = str(look.study.refit.numbers[name])
        if radius >= _least_numbered(look, name):
            yield _number(number, centre)
            continue
        at = _free_place(number, centre, radius, taken, box)
        taken = taken.union(_number_box(number, at))
        yield from _led(number, centre, radius, at)


def _covered(item: Curve) -> shapely.Geometry:
    """What a line covers, or what lies inside one that is filled, and a little more."""
    points = sampled(item.start, item.pieces)
    shape = shapely.LineString(points) if item.pen.fill is None else shapely.Polygon(points)
    return shape.buffer(0.9)


def _least_numbered(look: Look, name: str) -> float:
    """How large a disc must be to hold its number: what else is drawn in it wants room too."""
    if look.crank and name == look.study.layout.crank.name:
        return LEAST_TURNED
    stand = look.study.stand
    # The arrow of a slide lies across its pulley.
    pushed = look.lever and stand is not None and stand.tensioner.kind == "slide"
    return inf if pushed else LEAST_NUMBERED


def _free_place(
    number: str, centre: Point, radius: float, taken: shapely.Geometry, box: Box
) -> Point:
    """The nearest place beside a disc that nothing covers; the disc itself if there is none."""
    inside = shapely.box(box.x, box.y, box.right, box.bottom)
    for away in (2.4, 3.2, 4.2, 5.4, 7.0, 9.0, 11.5):
        for turn in range(24):
            angle = TAU * turn / 24.0
            reach = radius + away
            at = (centre[0] + reach * cos(angle), centre[1] + reach * sin(angle))
            room = _number_box(number, at)
            if inside.covers(room) and not room.intersects(taken):
                return at
    return centre


def _number_box(number: str, at: Point) -> shapely.Polygon:
    half = width(number, LEAST_SIZE, bold=True) / 2.0 + 0.2
    high = CAPITAL * LEAST_SIZE / 2.0 + 0.3
    return shapely.box(at[0] - half, at[1] - high, at[0] + half, at[1] + high)


def _led(number: str, centre: Point, radius: float, at: Point) -> Iterator[Item]:
    """A number beside its disc, with a line to it where it stands off."""
    away = distance(centre, at)
    if away > radius + 3.6:
        ux, uy = (at[0] - centre[0]) / away, (at[1] - centre[1]) / away
        rim = (centre[0] + ux * radius, centre[1] + uy * radius)
        yield line(rim, (at[0] - ux * 2.0, at[1] - uy * 2.0), Pen(stroke="grey", width=LEAST_LINE))
    yield _number(number, at)


def _number(number: str, centre: Point) -> Words:
    at = (centre[0], centre[1] + CAPITAL * LEAST_SIZE / 2.0)
    return Words(text=number, at=at, size=LEAST_SIZE, bold=True, anchor="middle")


def _arrows(look: Look, frame: Frame) -> Iterator[Item]:
    if look.pointer:
        yield from _pointer(look, frame)
    stand = look.study.stand
    if look.lever and stand is not None:
        yield from _lever_arrow(stand, frame, look.lever)
    if look.crank:
        yield from _crank_arrow(look.study, frame)


def _lever_arrow(stand: Stand, frame: Frame, way: int) -> Iterator[Item]:
    """The way that the tensioner is moved: +1 to slacken, -1 back."""
    pen = Pen(stroke="accent", width=0.5)
    if stand.tensioner.pivot is not None and isinstance(stand.release, str):
        pivot, pulley = frame.point(stand.tensioner.pivot), frame.point(stand.at)
        sign = way * frame.view.sign(stand.release)
        middle = angle_of(pulley, pivot)
        yield from turning_arrow(
            pivot, 2.6, sign, middle=middle, sweep=radians(240), pen=pen, head=1.8
        )
    elif not isinstance(stand.release, str):
        centre = frame.point(stand.at)
        rx, ry = frame.direction(stand.release + (0.0 if way > 0 else 180.0))
        tail = (centre[0] - rx * 4.0, centre[1] - ry * 4.0)
        tip = (centre[0] + rx * 4.0, centre[1] + ry * 4.0)
        yield line(tail, (tip[0] - rx, tip[1] - ry), pen)
        yield arrow_head(tip, (rx, ry), 2.4, "accent", edged=True)


def _pointer(look: Look, frame: Frame) -> Iterator[Item]:
    """An arrow at the marked pulley, where the belt lies on it: away from it, or on to it."""
    study = look.study
    i = study.path.index(look.step.pulleys[-1])
    contact = study.path.contacts[i]
    centre = frame.point(contact.centre)
    radius = belts.disc_radius(study.path, i, frame, study.layout.belt, belts.SMALL)
    ux, uy = _wrap_middle(study.path, i, frame)
    inner = radius + 1.0
    near = (centre[0] + ux * inner, centre[1] + uy * inner)
    far = (centre[0] + ux * (inner + 5.0), centre[1] + uy * (inner + 5.0))
    start, tip, way = (near, far, 1.0) if look.pointer > 0 else (far, near, -1.0)
    yield line(start, (tip[0] - way * ux, tip[1] - way * uy), Pen(stroke="accent", width=0.7))
    yield arrow_head(tip, (way * ux, way * uy), 2.6, "accent", edged=True)


def _crank_arrow(study: Study, frame: Frame) -> Iterable[Item]:
    """The way that the drive runs, at its crank: in its disc, or about a small one."""
    name = study.layout.crank.name
    [(centre, radius)] = [(at, r) for called, at, r in discs(study, frame) if called == name]
    sense: Sense = study.path.contacts[study.path.index(name)].turns
    small = radius < LEAST_TURNED
    return turning_arrow(
        centre,
        radius + 2.2 if small else radius * 0.62,
        frame.view.sign(sense),
        middle=radians(-90),
        sweep=radians(220),
        pen=Pen(stroke="accent", width=0.5),
        head=2.0,
    )

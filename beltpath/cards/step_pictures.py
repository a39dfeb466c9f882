"""A strip of small pictures, one for each step of taking the belt off and putting it on.

A picture is one state: the belt as it lies while the step is done, the tensioner where it then is.
Only what the step changes or looks at is dark; the rest is thin. What the text names wears its
number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain
from math import cos, inf, radians, sin
from typing import Literal

import shapely

from beltpath.cards import belt as belts
from beltpath.cards.diagram import EDGE, extent, frame_for, kept_in
from beltpath.cards.page import ROW
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
    centred,
    line,
    moved,
    rectangle,
    sampled,
    turning_arrow,
    union,
)
from beltpath.cards.step_looks import Look, looks
from beltpath.cards.tensioner import tensioner_items
from beltpath.cards.text import ASCENT, DESCENT, LEAST_SIZE, shorten, width, wrap
from beltpath.cards.view import Frame, View
from beltpath.geometry import TAU, Point, distance
from beltpath.layout.keys import Sense
from beltpath.refit.order import without
from beltpath.refit.steps import Step, held_runs
from beltpath.solve.path import BeltPath, ring
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study

#: A number keeps this far off a pulley that is not its own, so that nobody takes it for that, mm.
FOREIGN = 1.6
#: A picture is at least this wide, mm, and this much higher than wide with its caption.
LEAST_WIDTH = 40.0
PICTURE_SHARE = 0.86
CAPTION_LINES = 2
CAPTION = CAPTION_LINES * ROW
GAP = 2.0
#: A disc smaller than this on paper carries its number beside it, mm.
LEAST_NUMBERED = 2.6
#: One smaller than this has its arrow of turning, and its number then, outside it, mm.
LEAST_TURNED = 4.2
#: How a thin belt is drawn, mm.
THIN = 0.3


def grid(box: Box, count: int, columns: int) -> Iterator[Box]:
    """Boxes for so many pictures in so many columns; those that find no room are left out."""
    wide = (box.width - (columns - 1) * GAP) / columns
    high = wide * PICTURE_SHARE + CAPTION
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
    every = looks(study)
    places = places_for(study, box)
    if not places:
        return
    frame = common_frame(every, places[0], view)
    number = 0
    for page in paged(study, len(places)):
        shown = every[number : number + len(page)]
        yield tuple(
            _picture(number + i, look, place, _shifted(frame, places[0], place))
            for i, (look, place) in enumerate(zip(shown, places, strict=False), start=1)
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


# --- one picture ---------------------------------------------------------------------------------


def common_frame(every: Sequence[Look], place: Box, view: View) -> Frame:
    """One frame for all pictures, so that only what a step moves looks moved."""
    world = union([extent(look.study, view) for look in every])
    picture = _picture_box(place)
    room = picture.shrunk(EDGE + 1.0)
    scale = min(room.width / world.width, room.height / world.height, 1.0)
    return kept_in(
        picture.shrunk(0.8),
        world,
        frame_for(world, room, view, scale),
        lambda there: chain.from_iterable(_signs(look, there) for look in every),
    )


def _shifted(frame: Frame, old: Box, new: Box) -> Frame:
    x, y = frame.origin
    return replace(frame, origin=(x + new.x - old.x, y + new.y - old.y))


def _picture_box(place: Box) -> Box:
    return replace(place, height=place.height - CAPTION)


def _picture(number: int, look: Look, place: Box, frame: Frame) -> Group:
    items = [
        rectangle(place, Pen(stroke="grey", width=0.2)),
        *_drive(look, frame, _picture_box(place).shrunk(0.6)),
        *_caption(look, place),
    ]
    return Group(
        name=f"step-{number}", items=tuple(items), title=look.step.text, clip=place.shrunk(-0.2)
    )


def _caption(look: Look, place: Box) -> Iterator[Item]:
    step, text = look.step, look.caption
    if step.kind in ("off", "on"):
        title = look.study.layout.pulleys[look.study.refit.last_on].title
        text += f" ({shorten(title, place.width - 6.0, LEAST_SIZE)})"
    lines = wrap(text, place.width - 3.0, LEAST_SIZE, bold=True)[:CAPTION_LINES]
    top = place.bottom - CAPTION
    for i, words in enumerate(lines):
        at = (place.x + 1.5, top + (i + 0.75) * ROW)
        yield Words(text=words, at=at, size=LEAST_SIZE, bold=True)


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
        yield from _lines(lambda offset: _loose(study, frame, offset), look)
        return
    yield from _lines(lambda off: belts.outline(path, frame, off), look)
    if look.belt == "at":
        i = path.index(study.refit.last_on)
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
    came = belts.halfway(before[-1].end, start)
    return came, (To(start), *pieces, To(belts.halfway(pieces[-1].end, after)))


def _loose(study: Study, frame: Frame, offset: float) -> tuple[Point, tuple[To | Arc, ...]]:
    """The line of the belt that is slipped off: off several pulleys, or beside the last one."""
    path, slipped = study.path, study.refit.slipped
    left = _without(path, slipped) if len(slipped) > 1 else None
    if left is not None:
        return belts.outline(left, frame, offset)
    return belts.loose(path, frame, study.layout.belt, path.index(study.refit.last_on), offset)


def _without(path: BeltPath, off: Sequence[str]) -> BeltPath | None:
    """The path with the belt off several pulleys; None where it is on too few to be drawn."""
    discs = path.discs
    for name in off:
        discs = without(discs, name)
    if len(discs) < 2:
        return None
    laid = ring(discs)
    sides = dict(zip((c.pulley for c in path.contacts), path.sides, strict=True))
    return replace(
        path,
        contacts=laid.contacts,
        spans=laid.spans,
        sides=tuple(sides[contact.pulley] for contact in laid.contacts),
        length=laid.length,
    )


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
            yield centred(number, centre)
            continue
        others = [
            shapely.Point(other).buffer(reach + FOREIGN)
            for each, other, reach in every
            if each != name
        ]
        at = _free_place(number, centre, radius, shapely.union_all([taken, *others]), box)
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
    half = width(number, LEAST_SIZE, bold=True) / 2.0 + 0.5
    high = (ASCENT + DESCENT) * LEAST_SIZE / 2.0 + 0.1
    return shapely.box(at[0] - half, at[1] - high, at[0] + half, at[1] + high)


def _led(number: str, centre: Point, radius: float, at: Point) -> Iterator[Item]:
    """A number beside its disc, with a line to it where it stands off."""
    away = distance(centre, at)
    if away > radius + 3.6:
        way = ((at[0] - centre[0]) / away, (at[1] - centre[1]) / away)
        ends = moved(centre, way, radius), moved(at, way, -2.0)
        yield line(*ends, Pen(stroke="grey", width=LEAST_LINE))
    yield centred(number, at)


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
        release = frame.direction(stand.release + (0.0 if way > 0 else 180.0))
        yield line(moved(centre, release, -4.0), moved(centre, release, 3.0), pen)
        yield arrow_head(moved(centre, release, 4.0), release, 2.4, "accent", edged=True)


def _pointer(look: Look, frame: Frame) -> Iterator[Item]:
    """An arrow at the marked pulley, where the belt lies on it: away from it, or on to it."""
    study = look.study
    i = study.path.index(study.refit.last_on)
    contact = study.path.contacts[i]
    centre = frame.point(contact.centre)
    radius = belts.disc_radius(study.path, i, frame, study.layout.belt, belts.SMALL)
    ux, uy = belts.wrap_middle(study.path, i, frame)
    near, far = (moved(centre, (ux, uy), radius + out) for out in (1.0, 6.0))
    start, tip, way = (near, far, (ux, uy)) if look.pointer > 0 else (far, near, (-ux, -uy))
    yield line(start, moved(tip, way, -1.0), Pen(stroke="accent", width=0.7))
    yield arrow_head(tip, way, 2.6, "accent", edged=True)


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

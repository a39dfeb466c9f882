"""A strip of small pictures, one for each step of taking the belt off and putting it on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import hypot, radians

from beltpath.card import belt as belts
from beltpath.card.diagram import EDGE, extent, face_items, frame_for, kept_in, tensioner_items
from beltpath.card.paper import Box
from beltpath.card.scene import (
    Disc,
    Group,
    Item,
    Pen,
    Words,
    arrow_head,
    line,
    rectangle,
    turning_arrow,
)
from beltpath.card.text import CAPITAL, LEAST_SIZE, LINE, wrap
from beltpath.card.view import Frame, View
from beltpath.geometry import Point
from beltpath.refit import Kind, Step
from beltpath.study import Study
from beltpath.tensioner import Stand, Travel

#: A picture is at least this wide, mm, and this much higher than wide with its caption.
LEAST_WIDTH = 40.0
PICTURE_SHARE = 0.86
CAPTION_LINES = 2
GAP = 2.0
#: A disc smaller than this on paper carries no number, mm.
LEAST_NUMBERED = 2.3

_CAPTIONS: dict[Kind, str] = {
    "ready": "compare first",
    "check": "belt and grooves",
    "slacken": "lever over, hold",
    "off": "off here first",
    "rest": "off the others",
    "thread": "on in this order",
    "on": "on here last",
    "settle": "let back slowly",
    "after": "turn by hand",
    "run": "run, stop, look",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a picture shows: the drive as it then stands, and what is pointed out."""

    study: Study
    belt: bool = True
    numbers: bool = False
    lever: bool = False
    marked: str | None = None
    outward: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One picture of the strip: which half (off, on), its step and its look."""

    heading: str
    step: Step
    look: Look


def cells(study: Study) -> tuple[Cell, ...]:
    """The pictures of a study's steps, in order."""
    slack = _standing(study, "slack")
    return tuple(
        Cell(heading=heading, step=step, look=_look(study, slack, heading, step))
        for heading, steps in (("Off", study.refit.off), ("On", study.refit.on))
        for step in steps
    )


def grid(box: Box, count: int) -> Iterator[Box]:
    """Boxes for so many pictures, row by row; those that find no room are left out."""
    columns = max(1, int((box.width + GAP) // (LEAST_WIDTH + GAP)))
    wide = (box.width - (columns - 1) * GAP) / columns
    high = wide * PICTURE_SHARE + CAPTION_LINES * LEAST_SIZE * LINE
    for i in range(count):
        row, column = divmod(i, columns)
        cell = Box(
            x=box.x + column * (wide + GAP), y=box.y + row * (high + GAP), width=wide, height=high
        )
        if cell.bottom <= box.bottom:
            yield cell


def pages(study: Study, box: Box, view: View) -> Iterator[tuple[Group, ...]]:
    """The strip on as many pages as it takes; `box` is what each may print on."""
    rest = list(enumerate(cells(study), start=1))
    while rest:
        places = list(grid(box, len(rest)))
        if not places:
            return
        yield tuple(
            _picture(number, cell, place, view)
            for (number, cell), place in zip(rest, places, strict=False)
        )
        rest = rest[len(places) :]


def _look(study: Study, slack: Study, heading: str, step: Step) -> Look:
    match step.kind:
        case "slacken":
            return Look(study=slack, lever=True)
        case "off" | "on":
            return Look(study=slack, marked=step.pulley, outward=step.kind == "off")
        case "rest" | "check":
            return Look(study=_standing(study, "free"), belt=False)
        case "settle" if heading == "Off":
            return Look(study=_standing(study, "free"), belt=False)
        case "thread":
            return Look(study=slack, numbers=True)
        case _:
            return Look(study=study)


def _standing(study: Study, where: str) -> Study:
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


def _picture(number: int, cell: Cell, place: Box, view: View) -> Group:
    caption = CAPTION_LINES * LEAST_SIZE * LINE
    picture = Box(x=place.x, y=place.y, width=place.width, height=place.height - caption)
    look = cell.look
    world = extent(look.study, view)
    room = picture.shrunk(EDGE + 1.0)
    scale = min(room.width / world.width, room.height / world.height, 1.0)
    frame = kept_in(
        picture.shrunk(0.8),
        world,
        frame_for(world, room, view, scale),
        lambda there: _drive(look, there),
    )
    items = [
        rectangle(place, Pen(stroke="grey", width=0.2)),
        *_drive(look, frame),
        *_caption(f"{cell.heading} {cell.step.number}: {_CAPTIONS[cell.step.kind]}", cell, place),
    ]
    return Group(
        name=f"step-{number}", items=tuple(items), title=cell.step.text, clip=place.shrunk(-0.2)
    )


def _caption(text: str, cell: Cell, place: Box) -> Iterator[Item]:
    marked = cell.step.pulley if cell.step.kind in ("off", "on") else None
    if marked is not None:
        text += f" ({cell.look.study.layout.pulleys[marked].title})"
    lines = wrap(text, place.width - 3.0, LEAST_SIZE, bold=True)[:CAPTION_LINES]
    top = place.bottom - CAPTION_LINES * LEAST_SIZE * LINE
    for i, words in enumerate(lines):
        at = (place.x + 1.5, top + (i + 0.75) * LEAST_SIZE * LINE)
        yield Words(text=words, at=at, size=LEAST_SIZE, bold=i == 0)


def _drive(look: Look, frame: Frame) -> Iterator[Item]:
    study = look.study
    stand = study.stand
    if stand is not None:
        yield from tensioner_items(stand, frame, lever=look.lever)
    for name, centre, radius in discs(study, frame):
        pulley = study.layout.pulleys[name]
        heavy = name == look.marked
        yield from face_items(centre, radius, pulley.face == "grooved", heavy)
        number = study.refit.numbers.get(name)
        if look.numbers and number is not None and radius >= LEAST_NUMBERED:
            yield _number(number, centre)
    if look.belt:
        yield from belts.drawn(study.path, frame, study.layout.belt, belts.SMALL)
        yield from belts.arrows(study.path, frame, belts.SMALL)
    if look.marked is not None:
        yield from _pointer(look, frame)
    if not look.belt or look.lever:
        return
    if look.marked is None and not look.numbers:
        yield from _crank_arrow(study, frame)


def discs(study: Study, frame: Frame) -> Iterator[tuple[str, Point, float]]:
    """Every pulley that the belt meets: its name, centre and radius on a small picture's paper."""
    path, belt = study.path, study.layout.belt
    for i, contact in enumerate(path.contacts):
        centre = frame.point(contact.centre)
        yield contact.pulley, centre, belts.disc_radius(path, i, frame, belt, belts.SMALL)


def _number(number: int, centre: Point) -> Words:
    at = (centre[0], centre[1] + CAPITAL * LEAST_SIZE / 2.0)
    return Words(text=str(number), at=at, size=LEAST_SIZE, bold=True, anchor="middle")


def _pointer(look: Look, frame: Frame) -> Iterator[Item]:
    """An arrow at the marked pulley's free side: away from it, or on to it."""
    study = look.study
    i = study.path.index(look.marked or "")
    contact = study.path.contacts[i]
    centre = frame.point(contact.centre)
    radius = belts.disc_radius(study.path, i, frame, study.layout.belt, belts.SMALL)
    # Along the middle of the wrap, where the belt lies on the pulley.
    enter, leave = frame.point(contact.enter), frame.point(contact.leave)
    ux, uy = enter[0] + leave[0] - 2 * centre[0], enter[1] + leave[1] - 2 * centre[1]
    length = hypot(ux, uy) or 1.0
    sign = -1.0 if contact.wrap > radians(180) else 1.0
    ux, uy = sign * ux / length, sign * uy / length
    near = (centre[0] + ux * 0.35 * radius, centre[1] + uy * 0.35 * radius)
    far = (centre[0] + ux * (radius + 5.5), centre[1] + uy * (radius + 5.5))
    start, tip, way = (near, far, 1.0) if look.outward else (far, near, -1.0)
    yield line(start, (tip[0] - way * ux, tip[1] - way * uy), Pen(stroke="accent", width=0.7))
    yield arrow_head(tip, (way * ux, way * uy), 2.6, "accent", edged=True)


def _crank_arrow(study: Study, frame: Frame) -> Sequence[Item]:
    _, centre, radius = next(discs(study, frame))
    sign = frame.view.sign(study.path.contacts[0].turns)
    dot = Disc(centre=centre, radius=0.5, pen=Pen(stroke=None, width=0.0, fill="ink"))
    pen = Pen(stroke="accent", width=0.35)
    size = min(2.0, radius * 0.5)
    return (
        dot,
        *turning_arrow(
            centre,
            radius * 0.62,
            sign,
            middle=radians(-90),
            sweep=radians(220),
            pen=pen,
            head=size,
        ),
    )

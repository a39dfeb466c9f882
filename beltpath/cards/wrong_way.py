"""What not to do: a small crossed-out picture of each other way that the same belt fits.

Cross, frame, dashes and caption all say that it is the forbidden way, each of them without colour.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import radians

import shapely

from beltpath.cards import belt as belts
from beltpath.cards.diagram import SHRINK, TRIES, extent, frame_for
from beltpath.cards.document import Options
from beltpath.cards.labels import Ground, Placed, Request, Text, place
from beltpath.cards.page import ROW, Block, Column, set_line
from beltpath.cards.paper import Box
from beltpath.cards.pulleys import face_items
from beltpath.cards.scene import (
    HALO,
    Curve,
    Group,
    Item,
    Pen,
    Words,
    line,
    rectangle,
    set_off,
    turning_arrow,
)
from beltpath.cards.step_pictures import discs
from beltpath.cards.text import ASCENT, LEAST_SIZE, SPARE, width, wrap
from beltpath.cards.view import Frame, View
from beltpath.checks.look_alike import OtherWay, misfit, parting
from beltpath.geometry import TAU, Point
from beltpath.layout.layout import stand_in
from beltpath.solve.drive import Drive
from beltpath.solve.path import BeltPath
from beltpath.studies import Study

#: More ways than this are counted, not drawn.
MOST_DRAWN = 2
#: A picture is at most this wide, mm, this share of the sheet's shorter side, so that it is clearly
#: smaller than the drawing, and this share of its block; and this share of its width high.
WIDEST = 54.0
OF_SHEET = 0.4
SHARE = 0.48
HIGH = 0.95
#: The words beside it are broken at this width, mm: short lines are read together.
WIDEST_WORDS = 68.0
#: Room kept between the frame and what is in it, and between the drive and the picture's edge, mm.
PAD = 1.5
EDGE = 3.2
#: A frame that takes this share of its block takes all of it.
NEARLY = 0.85
#: Space above the frame: findings stand close above it, mm.
ABOVE = 1.2
#: How wide the strokes of the cross and of the frame are, mm.
CROSS, FRAME = 1.1, 0.5
#: From this radius on, mm, a disc holds its number and the arrow of its turning round it.
HOLDS_BOTH = 5.2
#: An arrow of turning: its stroke, its head, and how far it runs from the disc's edge, mm.
TURN, HEAD, OUTSIDE, INSIDE = 0.55, 2.3, 1.9, 1.4
#: How far round a disc an arrow outside it runs, degrees, and how many places are tried for it.
SWEEP, PLACES = 120.0, 24


def blocks(study: Study, options: Options, numbers: Mapping[str, int]) -> list[Block]:
    """A block for each look-alike that is drawn; none where the check found none.

    `numbers` are those of the front: they tell which pulley is which.
    """
    told = [
        (number, finding)
        for number, finding in enumerate(study.findings, start=1)
        if isinstance(finding, OtherWay)
    ]
    drawn = told[:MOST_DRAWN]
    captions = [_caption(study, finding, number, numbers) for number, finding in drawn]
    if drawn and (more := drawn[0][1].many - len(drawn)) > 0:
        captions[-1] = replace(captions[-1], further=_further(more))
    return [
        _block(i, _wrong_drive(study, finding, options, numbers), finding.message, caption)
        for i, ((_, finding), caption) in enumerate(zip(drawn, captions, strict=True), start=1)
    ]


# --- words ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Caption:
    """What stands beside a picture: what it shows, and what is right instead."""

    wrong: str
    right: str
    further: str = ""

    def lines(self, wide: float) -> Iterator[tuple[str, bool]]:
        """Its lines, and whether each is bold."""
        for text in wrap(f"NOT like this: {self.wrong}", wide, LEAST_SIZE, bold=True):
            yield text, True
        for part in filter(None, (self.right, self.further)):
            yield from ((text, False) for text in wrap(part, wide, LEAST_SIZE))


def _caption(study: Study, finding: OtherWay, number: int, numbers: Mapping[str, int]) -> _Caption:
    def called(name: str) -> str:
        return f"{numbers[name]} {study.layout.pulleys[name].title}"

    def laid(path: BeltPath, names: Sequence[str]) -> list[str]:
        sides = dict(zip((c.pulley for c in path.contacts), path.sides, strict=True))
        return [f"the belt's {sides[name]} on {called(name)}" for name in names]

    alike = finding.alike
    not_turned = [name for name in alike.sided if name not in alike.wrong]
    wrong, right = laid(alike.drive.path, not_turned), laid(study.path, alike.sided)
    if parted := parting(study.drive, alike):
        before, there, here = map(called, parted)
        order = "-".join(str(numbers[name]) for name in _apart(study.path, alike.drive.path))
        wrong.insert(0, f"from {before} to {there} (order {order})")
        right.insert(0, f"from {before} to {here}")
    if alike.wrong:
        wrong.append(f"{' and '.join(map(called, alike.wrong))} would turn the wrong way")
    see = f"{_other_belt(finding.off)}See finding\u00a0{number}."
    return _Caption(wrong=f"{'; '.join(wrong)}.", right=f"Right: {', '.join(right)}. {see}")


def _apart(right: BeltPath, other: BeltPath) -> list[str]:
    """The pulleys of the other way from where it leaves the right one to where it is back on it."""
    here, there = ([c.pulley for c in path.contacts] for path in (right, other))
    unlike = [i for i, (a, b) in enumerate(zip(here, there, strict=True)) if a != b]
    return [*there, there[0]][unlike[0] - 1 : unlike[-1] + 2]


def _other_belt(off: float) -> str:
    """That the belt in hand does not fit the right way, where it does not."""
    return f"That takes another belt: the one in hand is {misfit(off)}. " if off else ""


def _further(more: int) -> str:
    return (
        "1 more way that this belt fits is not drawn."
        if more == 1
        else f"{more} more ways that this belt fits are not drawn."
    )


# --- the block -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Framed(Block):
    """A block that knows its height without drawing its picture, which takes the most time."""

    measure: Callable[[float], float]

    def height(self, wide: float) -> float:
        """How high it is at a width, mm."""
        return self.measure(wide)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Places:
    """Where the parts of a block lie: its frame, its picture, and the lines beside that."""

    frame: Box
    picture: Box
    words: Point
    lines: Sequence[tuple[str, bool]]


def _block(number: int, picture: _WrongDrive, message: str, caption: _Caption) -> Block:
    def build(column: Column) -> None:
        places = _places(picture, caption, column.x, column.y, column.wide)
        drawn = Group(
            name=f"wrong-way-{number}",
            items=tuple(picture.items(places.picture)),
            title="Crossed out: the belt must not go like this",
            description=message,
        )
        column.items += [rectangle(places.frame, Pen(width=FRAME)), drawn, *_words(places)]
        column.y += places.frame.height + ABOVE

    def measure(wide: float) -> float:
        return _places(picture, caption, 0.0, 0.0, wide).frame.height + ABOVE

    name = f"not-like-{number}"
    return _Framed(name=name, title="NOT like this", build=build, measure=measure)


def _places(picture: _WrongDrive, caption: _Caption, x: float, y: float, wide: float) -> _Places:
    across = min(picture.widest, SHARE * wide)
    high = picture.height(across)
    lines = list(caption.lines(min(wide - across - 3 * PAD, WIDEST_WORDS)))
    inner = max(high, len(lines) * ROW)
    beside = max(width(text, LEAST_SIZE, bold=bold) for text, bold in lines)
    needed = across + beside / SPARE + 3 * PAD
    framed = needed if needed < NEARLY * wide else wide
    top = y + ABOVE + PAD
    return _Places(
        frame=Box(x=x, y=y + ABOVE, width=framed, height=inner + 2 * PAD),
        picture=Box(x=x + PAD, y=top + (inner - high) / 2.0, width=across, height=high),
        words=(x + across + 2 * PAD, top + (inner - len(lines) * ROW) / 2.0),
        lines=lines,
    )


def _words(places: _Places) -> Iterator[Words]:
    left, top = places.words
    for i, (text, bold) in enumerate(places.lines):
        yield set_line(text, left, top + i * ROW, bold=bold)


def _wrong_drive(
    study: Study, finding: OtherWay, options: Options, numbers: Mapping[str, int]
) -> _WrongDrive:
    sheet, parted = options.sheet, parting(study.drive, finding.alike)
    return _WrongDrive(
        study=replace(study, drive=_bare(finding.alike.drive), findings=()),
        view=options.view,
        numbers=numbers,
        widest=min(WIDEST, OF_SHEET * min(sheet.width, sheet.height)),
        wrong=finding.alike.wrong,
        lead=() if parted is None else parted[:2],
    )


def _bare(drive: Drive) -> Drive:
    """The drive without what the picture does not show: pulleys off the belt, the tensioner's arm.

    The picture is then as large as belt and pulleys let it be.
    """
    met = {contact.pulley for contact in drive.path.contacts}
    pulleys = {name: pulley for name, pulley in drive.layout.pulleys.items() if name in met}
    return replace(drive, layout=stand_in(drive.layout, pulleys=pulleys, tensioner=None))


# --- the picture ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _WrongDrive:
    """A drive with its belt gone the other way, and what is wrong with it.

    It is `widest` mm wide at the most. `wrong` are the pulleys that turn the wrong way; `lead` are
    the ends of the span that must not be.
    """

    study: Study
    view: View
    numbers: Mapping[str, int]
    widest: float
    wrong: tuple[str, ...]
    lead: tuple[str, ...]

    def height(self, across: float) -> float:
        """How high it is at a width, mm: as the drive is, within limits."""
        world = extent(self.study, self.view)
        scale = (across - 2 * EDGE) / world.width
        return min(world.height * scale + 2 * EDGE, HIGH * across)

    def items(self, box: Box) -> Iterator[Item]:
        """The drive, the cross over it, and over the cross what must be read."""
        frame, arrows, labels = self._placed(box)
        for name, centre, radius in discs(self.study, frame):
            pulley = self.study.layout.pulleys[name]
            yield from face_items(
                centre, radius, pulley.face == "grooved", heavy=pulley.role == "crank"
            )
        yield belts.dashed(self.study.path, frame)
        yield from _leading(self.study.path, frame, self.lead)
        yield from self._travel(frame, box)
        yield from cross(box)
        for arrow in arrows:
            yield from set_off(arrow, heads=True)
        for label in labels:
            yield from _number(label)

    def _travel(self, frame: Frame, box: Box) -> list[Curve]:
        """The arrows of travel, off the cross: it would leave a piece of one, which is no arrow."""
        return belts.arrows(self.study.path, frame, belts.SMALL, off=_crossed(box))

    def _placed(self, box: Box) -> tuple[Frame, list[Sequence[Curve]], tuple[Placed, ...]]:
        """The largest scale at which every number finds a place.

        Where none of those tried has one, the numbers stand on their pulleys, come what may.
        """
        world = extent(self.study, self.view)
        room = box.shrunk(EDGE)
        largest = min(room.width / world.width, room.height / world.height, 1.0)
        # Numbers keep off the cross where they can, and stand on it where they cannot.
        for off, step in product((True, False), range(TRIES)):
            frame = frame_for(world, room, self.view, largest * SHRINK**step)
            arrows, labels = self._labelled(box, frame, off_the_cross=off)
            if labels is not None:
                return frame, arrows, labels
        frame = frame_for(world, room, self.view, largest)
        arrows, _ = self._labelled(box, frame, off_the_cross=False)
        return frame, arrows, tuple(map(_on_it, self._requests(frame)))

    def _labelled(
        self, box: Box, frame: Frame, *, off_the_cross: bool
    ) -> tuple[list[Sequence[Curve]], tuple[Placed, ...] | None]:
        wheels = {name: (at, radius) for name, at, radius in discs(self.study, frame)}
        band = belts.covered(belts.dashed(self.study.path, frame), belts.SMALL.ribs)
        arrows = {name: self._turning(name, frame, wheels, band, box) for name in self.wrong}
        shapes = {f"turn:{name}": _covered(arrow) for name, arrow in arrows.items()}
        shapes["travel"] = _covered(self._travel(frame, box))
        if off_the_cross:
            shapes["cross"] = _crossed(box)
        ground = Ground(area=box.shrunk(FRAME), belt=band, discs=wheels, shapes=shapes)
        return list(arrows.values()), place(self._requests(frame), ground)

    def _requests(self, frame: Frame) -> list[Request]:
        """The numbers, each in its pulley's disc or beside it."""
        return [
            Request(
                key=f"number:{name}",
                text=Text(lines=(str(self.numbers[name]),), size=LEAST_SIZE, bold=True),
                target=centre,
                reach=radius,
                inside=radius - 0.3,
                owner=name,
            )
            for name, centre, radius in discs(self.study, frame)
        ]

    def _turning(
        self,
        name: str,
        frame: Frame,
        wheels: Mapping[str, tuple[Point, float]],
        band: shapely.Geometry,
        box: Box,
    ) -> Sequence[Curve]:
        """The arrow of a pulley that turns the wrong way: on its disc, or where there is room.

        Outside, the place is taken that is furthest from everything else, the cross included, and
        on the cross only where there is no other. Where there is none at all, the arrow takes the
        disc and leaves the number to find a place outside.
        """
        centre, radius = wheels[name]
        contact = self.study.path.contacts[self.study.path.index(name)]
        sign = frame.view.sign(contact.turns)
        on_it = _arrow(centre, max(radius - INSIDE, INSIDE), sign, radians(-90), radians(220))
        if radius >= HOLDS_BOTH:
            return on_it
        foreign = [shapely.Point(c).buffer(r) for n, (c, r) in wheels.items() if n != name]
        edge = shapely.box(box.x, box.y, box.right, box.bottom).exterior
        others = shapely.union_all([*foreign, band, edge])
        tried = [
            _arrow(centre, radius + OUTSIDE, sign, i * TAU / PLACES, radians(SWEEP))
            for i in range(PLACES)
        ]
        for taken in (others.union(_crossed(box)), others):
            room = [float(_covered(arrow).distance(taken)) for arrow in tried]
            if max(room) > 0.0:
                return tried[room.index(max(room))]
        return on_it


def _arrow(centre: Point, radius: float, sign: int, middle: float, sweep: float) -> Sequence[Curve]:
    pen = Pen(stroke="fault", width=TURN)
    return turning_arrow(centre, radius, sign, middle=middle, sweep=sweep, pen=pen, head=HEAD)


def _covered(arrow: Sequence[Curve]) -> shapely.Geometry:
    """What an arrow covers with its white edge."""
    return shapely.union_all([belts.covered(item, item.pen.width / 2.0 + HALO) for item in arrow])


def _crossed(box: Box) -> shapely.Geometry:
    """What the cross over a picture covers with its white edge."""
    return _covered(list(cross(box)))


def _leading(path: BeltPath, frame: Frame, lead: Sequence[str]) -> Iterator[Item]:
    """The span that must not be, heavier than the others."""
    for i, span in enumerate(path.spans):
        ends = (path.contacts[i].pulley, path.contacts[(i + 1) % len(path.contacts)].pulley)
        if ends == tuple(lead):
            pen = Pen(stroke="fault", width=2 * belts.SMALL.body, dash=(2.4, 0.9))
            yield line(frame.point(span.leave), frame.point(span.enter), pen)


def cross(box: Box) -> Iterator[Curve]:
    """Two bold strokes from corner to corner, set off from what they cross."""
    inner = box.shrunk(CROSS)
    for pen in (Pen(stroke="paper", width=CROSS + 2 * HALO), Pen(stroke="fault", width=CROSS)):
        yield line((inner.x, inner.y), (inner.right, inner.bottom), pen)
        yield line((inner.x, inner.bottom), (inner.right, inner.y), pen)


def _on_it(request: Request) -> Placed:
    """A number in the middle of its pulley, whatever else is there."""
    text = request.text
    box = Box.about(request.target, text.width, text.height)
    return Placed(request=request, text=text, box=box, leader=None)


def _number(label: Placed) -> Iterator[Item]:
    """A pulley's number on a white plate, with its leader."""
    if label.leader is not None:
        yield line(*label.leader, Pen(stroke="paper", width=0.2 + 2 * HALO))
        yield line(*label.leader, Pen(width=0.2))
    yield rectangle(label.box, Pen(stroke=None, width=0.0, fill="paper"))
    baseline = label.box.y + ASCENT * label.text.size
    yield Words(
        text=label.text.lines[0],
        at=(label.box.centre[0], baseline),
        size=label.text.size,
        bold=True,
        anchor="middle",
    )

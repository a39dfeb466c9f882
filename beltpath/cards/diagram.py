"""The routing as a drawing: pulleys, belt, tensioner, labels, fitted into a box on the paper."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from beltpath.cards import belt as belts
from beltpath.cards.labels import Ground, Placed, Request, Text, place
from beltpath.cards.paper import Box
from beltpath.cards.pulleys import MARK, Wheel, fault_sign, pulley_group, wheels_of
from beltpath.cards.scene import (
    Curve,
    Group,
    Item,
    Pen,
    Words,
    around,
    line,
    set_off,
    union,
)
from beltpath.cards.tensioner import (
    arm_items,
    lever_point,
    stop_points,
    tensioner_items,
    travel_items,
)
from beltpath.cards.text import ASCENT, LEAST_SIZE, LINE, shorten, width
from beltpath.cards.view import Frame, View
from beltpath.checks.findings import Finding
from beltpath.geometry import Point, distance
from beltpath.refit.steps import SWING_ENDS
from beltpath.solve.reliance import way_to_slacken
from beltpath.solve.tensioner import Stand
from beltpath.studies import Study

#: Longest label line on the drawing, mm; the table carries the name in full.
LONGEST_LABEL = 42.0
#: How much smaller each try to find room for all labels is, and how many tries there are.
SHRINK = 0.94
TRIES = 8
#: How often a drawing is made smaller for signs that stand out of its box.
FITTINGS = 6
#: The least radius at which a pulley's arrow can be seen, mm.
LEAST_WHEEL = 1.25
#: Which labels a drawing carries: all; those that the particulars do not tell; the pulleys' only.
_FULL = frozenset({"pulley", "finding", "pivot", "stop"})
_SPARE = frozenset({"pulley", "finding", "pivot"})
_BRIEF = frozenset({"pulley", "finding", "pivot", "brief"})
_LEAST = frozenset({"pulley", "finding"})
_NONE: frozenset[str] = frozenset()
#: Least distance of the drive from the edge of its box, mm.
EDGE = 2.5
#: At a lever whose way is in doubt.
_DO_NOT_MOVE = "lever: do not move it yet"
#: Everything that is drawn may grow to this scale and no further.
LARGEST_SCALE = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagram:
    """A drawn routing with what a test needs to judge it: labels, belt and discs on paper."""

    box: Box
    frame: Frame
    groups: tuple[Group, ...]
    labels: tuple[Placed, ...]
    belt: shapely.Geometry
    discs: Mapping[str, tuple[Point, float]]


def diagram(
    study: Study,
    box: Box,
    view: View,
    numbers: Mapping[str, int],
    most: float = LARGEST_SCALE,
) -> Diagram:
    """Draw a study into `box` as large as its labels allow, and no larger than the scale `most`.

    `numbers` are printed on the pulleys. When no scale gives every label a place, labels fall
    back to their numbers; the smallest scale tried is used as it is.
    """
    world = extent(study, view)
    room = box.shrunk(EDGE)
    largest = min(room.width / world.width, room.height / world.height, most)
    frames = [
        kept_in(box, world, frame_for(world, room, view, largest * SHRINK**step), _signs(study))
        for step in range(TRIES)
    ]
    smallest = [min(w.radius for w in wheels_of(study, f, numbers) if w.sign) for f in frames]
    for wanted, step in _attempts(smallest):
        found = _draw(study, box, frames[step], numbers, wanted)
        if found is not None:
            return found
    return _draw(study, box, frames[-1], numbers, _NONE) or _impossible()


def _signs(study: Study) -> Callable[[Frame], Iterator[Item]]:
    """What keeps its size on paper however small the drive is drawn: it may stand out from it."""

    def drawn(frame: Frame) -> Iterator[Item]:
        yield from tensioner_items(study.stand, frame, lever=_lever_known(study))
        yield from fault_marks(study.findings, frame)

    return drawn


def _attempts(smallest: Sequence[float]) -> Iterator[tuple[frozenset[str], int]]:
    """Which labels to try at which step down in scale: sooner fewer labels than a small drawing.

    `smallest` is the radius of the smallest pulley at each step, mm. Every choice of labels is
    tried where its arrow can be seen before any where it cannot.
    """
    every = [
        (wanted, step)
        for steps in (range(TRIES // 2), range(TRIES // 2, TRIES))
        for wanted in (_FULL, _SPARE)
        for step in steps
    ]
    every += [(wanted, step) for wanted in (_BRIEF, _LEAST) for step in range(TRIES)]
    least = min(LEAST_WHEEL, smallest[0])
    yield from (each for each in every if smallest[each[1]] >= least)
    yield from (each for each in every if smallest[each[1]] < least)


def _impossible() -> Diagram:
    raise AssertionError("a drawing without labels always finds places for all of them")


def _draw(
    study: Study,
    box: Box,
    frame: Frame,
    numbers: Mapping[str, int],
    wanted: frozenset[str],
) -> Diagram | None:
    wheels = wheels_of(study, frame, numbers)
    discs = {w.pulley.name: (w.centre, w.radius) for w in wheels}
    marks = {f"mark:{key}": (at, MARK) for key, _, at in _marks(study.findings, frame)}
    belt = belts.room(study.path, frame)
    requests = [
        request
        for request in (
            *_pulley_requests(wheels),
            *_tensioner_requests(study, frame, brief="brief" in wanted),
            *_finding_requests(study.findings, frame, discs),
        )
        if request.key.partition(":")[0] in wanted
    ]
    ground = Ground(
        area=box,
        belt=belt,
        discs={**discs, **marks},
        shapes=dict(_tensioner_room(study, frame, wheels)),
    )
    labels = place(requests, ground)
    if labels is None:
        return None
    return Diagram(
        box=box,
        frame=frame,
        groups=_groups(study, frame, wheels, labels),
        labels=labels,
        belt=belt,
        discs=discs,
    )


def extent(study: Study, view: View) -> Box:
    """What the drive covers, seen in the view (y up: the box's y is its lower edge), in mm."""
    belt = study.layout.belt
    boxes = [
        around([view.point(study.drive.centre(p.name))], study.drive.rim_radius(p) + belt.height)
        for p in study.layout.pulleys.values()
    ]
    corners = [p for b in boxes for p in ((b.x, b.y), (b.right, b.bottom))]
    t = study.layout.tensioner
    if t is not None and t.pivot is not None:
        corners.append(view.point(t.pivot))
    return around(corners)


def frame_for(world: Box, room: Box, view: View, scale: float) -> Frame:
    """A frame that puts the middle of the drive into the middle of a room."""
    cx, cy = world.centre
    mx, my = room.centre
    return Frame(view=view, scale=scale, origin=(mx - scale * cx, my + scale * cy))


def kept_in(box: Box, world: Box, frame: Frame, drawn: Callable[[Frame], Iterable[Item]]) -> Frame:
    """The frame, or one moved and if need be smaller, in which all that is drawn stays in the box.

    `world` is what the drive itself covers, as `extent` gives it.
    """
    for _ in range(FITTINGS):
        s, (x, y) = frame.scale, frame.origin
        high = s * world.height
        drive = Box(x=x + s * world.x, y=y - s * world.y - high, width=s * world.width, height=high)
        all_ = union([drive.shrunk(-EDGE / 2.0), *(item.box for item in drawn(frame))])
        share = min(box.width / all_.width, box.height / all_.height)
        if share >= 1.0:
            aside = max(box.x - all_.x, 0.0) - max(all_.right - box.right, 0.0)
            down = max(box.y - all_.y, 0.0) - max(all_.bottom - box.bottom, 0.0)
            return replace(frame, origin=(x + aside, y + down)) if aside or down else frame
        # A little more than its share: the signs stay as large as they are.
        frame = frame_for(world, box, frame.view, s * share * SHRINK)
    return frame


# --- labels -------------------------------------------------------------------------------------


def _pulley_requests(wheels: Sequence[Wheel]) -> Iterator[Request]:
    for wheel in wheels:
        name = shorten(wheel.pulley.title, LONGEST_LABEL, LEAST_SIZE)
        text = name if wheel.number is None else f"{wheel.number} {name}"
        if wheel.sign is None:
            text = f"{name} (no belt)"
        lines = _two_lines(text)
        if wheel.last:
            lines = (*lines, wheel.last)
        yield Request(
            key=f"pulley:{wheel.pulley.name}",
            text=Text(lines=lines, size=LEAST_SIZE),
            target=wheel.centre,
            reach=wheel.radius,
            inside=wheel.radius * 0.62 - 0.6,
            owner=wheel.pulley.name,
            short=_short(wheel),
        )


def _short(wheel: Wheel) -> Text | None:
    """What stands in for a label that finds no room: the number, and whether it is the last on."""
    if wheel.number is None:
        return None
    words = f"{wheel.number} last on" if wheel.last else str(wheel.number)
    return Text(lines=(words,), size=LEAST_SIZE)


def _two_lines(text: str) -> tuple[str, ...]:
    """A long label in two lines, broken at the space nearest to its middle."""
    spaces = [i for i, character in enumerate(text) if character == " "]
    if width(text, LEAST_SIZE) < LONGEST_LABEL / 2.0 or len(spaces) < 2:
        return (text,)
    middle = min(spaces[1:], key=lambda i: abs(i - len(text) / 2.0))
    return (text[:middle], text[middle + 1 :])


def _tensioner_requests(study: Study, frame: Frame, *, brief: bool) -> Iterator[Request]:
    stand = study.stand
    if stand is None:
        return
    known = _lever_known(study)
    for key, at, words in _tensioner_words(stand, frame, known=known):
        yield Request(
            key=key,
            text=Text(lines=words, size=LEAST_SIZE),
            target=at,
            reach=0.6,
            owner="tensioner travel",
            short=Text(lines=("slackens" if known else "do not move",), size=LEAST_SIZE)
            if brief and key == "pivot"
            else None,
        )


def _lever_known(study: Study) -> bool:
    """Whether the way in which the lever slackens the belt may be shown."""
    return way_to_slacken(study.drive) is not None


def _tensioner_words(
    stand: Stand, frame: Frame, *, known: bool
) -> Iterator[tuple[str, Point, tuple[str, ...]]]:
    t = stand.tensioner
    free, load = stop_points(stand, frame)
    words = SWING_ENDS if t.kind == "swing" else ("free", "load")
    yield "stop:free", free, (words[0],)
    yield "stop:load", load, (words[1],)
    pivot = lever_point(stand, frame)
    tool = (shorten(t.lever, LONGEST_LABEL, LEAST_SIZE),) if t.lever else ()
    moved = "pivot bolt" if t.kind == "swing" else "lever"
    yield "pivot", pivot, (f"{moved}: this way slackens" if known else _DO_NOT_MOVE, *tool)


def _marks(findings: Sequence[Finding], frame: Frame) -> Iterator[tuple[str, int, Point]]:
    """Every place of every fault: its key, the finding's number, and where it is on paper."""
    for number, finding in enumerate(findings, start=1):
        for i, where in enumerate(finding.where if finding.level == "fault" else ()):
            yield f"{number}.{i}", number, frame.point(where)


def _finding_requests(
    findings: Sequence[Finding], frame: Frame, discs: Mapping[str, tuple[Point, float]]
) -> Iterator[Request]:
    for key, number, at in _marks(findings, frame):
        under = [name for name, (c, radius) in discs.items() if distance(c, at) < radius + 2 * MARK]
        yield Request(
            key=f"finding:{key}",
            text=Text(lines=(f"fault {number}",), size=LEAST_SIZE, bold=True),
            target=at,
            reach=MARK,
            owner=f"mark:{key}",
            also=tuple(under),
        )


# --- what is drawn ------------------------------------------------------------------------------


def _groups(
    study: Study, frame: Frame, wheels: Sequence[Wheel], labels: Sequence[Placed]
) -> tuple[Group, ...]:
    path, belt = study.path, study.layout.belt
    known = _lever_known(study)
    way = ", window and the lever's way" if known else " and window; its way is in doubt"
    covered = {label.request.owner for label in labels if label.leader is None}
    groups = [
        Group(name="arm", items=tuple(arm_items(study.stand, frame)), title="Tensioner's arm"),
        *(pulley_group(i, wheel, covered) for i, wheel in enumerate(wheels, start=1)),
        Group(
            name="belt",
            items=tuple(belts.drawn(path, frame, belt)),
            title="Belt",
            description="; then ".join(
                f"{c.pulley} on its {side}"
                for c, side in zip(path.contacts, path.sides, strict=True)
            ),
        ),
        Group(name="travel", items=tuple(belts.arrows(path, frame)), title="Direction of travel"),
        Group(
            name="tensioner",
            items=tuple(set_off(travel_items(study.stand, frame, lever=known))),
            title=f"Tensioner: travel, stops{way}",
        ),
        Group(name="faults", items=tuple(fault_marks(study.findings, frame)), title="Faults"),
        Group(name="labels", items=tuple(_label_items(labels)), title="Labels"),
    ]
    return tuple(group for group in groups if group.items)


def _tensioner_room(
    study: Study, frame: Frame, wheels: Sequence[Wheel]
) -> Iterator[tuple[str, shapely.Geometry]]:
    stand = study.stand
    if stand is None:
        return
    shapes = [
        belts.covered(item, item.pen.width / 2.0)
        for item in tensioner_items(stand, frame, lever=_lever_known(study))
        if isinstance(item, Curve)
    ]
    wheel = next(w for w in wheels if w.pulley.name == stand.tensioner.pulley)
    own = shapely.Point(wheel.centre).buffer(wheel.radius)
    yield "tensioner travel", shapely.union_all(shapes).difference(own)


def fault_marks(findings: Sequence[Finding], frame: Frame) -> Iterator[Item]:
    """A crossed circle wherever a fault is."""
    for _, _, at in _marks(findings, frame):
        yield from fault_sign(at)


def _label_items(labels: Sequence[Placed]) -> Iterator[Item]:
    for label in labels:
        if label.leader is not None:
            yield line(*label.leader, Pen(width=0.2))
        x = label.box.centre[0]
        for i, words in enumerate(label.text.lines):
            baseline = label.box.y + (ASCENT + i * LINE) * label.text.size
            yield Words(
                text=words,
                at=(x, baseline),
                size=label.text.size,
                bold=label.text.bold,
                anchor="middle",
                colour="fault" if label.request.key.startswith("finding") else "ink",
            )

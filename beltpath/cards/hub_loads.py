"""A page of hub loads: how hard, and which way, the belt pulls each hub at one crank speed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from beltpath.cards import belt as belts
from beltpath.cards.diagram import EDGE, extent, frame_for
from beltpath.cards.page import ROW
from beltpath.cards.paper import Box
from beltpath.cards.pulleys import face_items
from beltpath.cards.scene import Anchor, Group, Item, Pen, Words, arrow_head, centred, line, moved
from beltpath.cards.text import LEAST_SIZE, shorten, wrap
from beltpath.cards.view import Frame, View
from beltpath.solve.forces import AtSpeed, ContactForce
from beltpath.studies import Study

#: The longest arrow on paper, mm; the others are in proportion.
LONGEST = 18.0
#: Room kept round the drive for arrows, mm.
AROUND = LONGEST + 2.0
#: A disc smaller than this on paper carries no number, mm.
LEAST_NUMBERED = 2.6
#: Where names begin in the table, what they leave free, and the load's distance from its end, mm.
NAME_AT, NAMES_LEAVE, LOAD_AT = 6.0, 66.0, 40.0


def page(study: Study, box: Box, view: View, numbers: Mapping[str, int]) -> tuple[Group, ...]:
    """The page's groups; none where the forces are not known."""
    at = hardest(study)
    if at is None:
        return ()
    table = 2 * ROW + len(at.contacts) * ROW
    words = _words(study, at)
    head = wrap(words, box.width, LEAST_SIZE)
    top = box.y + len(head) * ROW + 1.0
    room = Box(x=box.x, y=top, width=box.width, height=box.bottom - top - table)
    world = extent(study, view)
    inner = room.shrunk(EDGE + AROUND)
    scale = min(inner.width / world.width, inner.height / world.height, 1.0)
    frame = frame_for(world, inner, view, scale)
    lines = [
        Words(text=text, at=(box.x, box.y + i * ROW + LEAST_SIZE), size=LEAST_SIZE)
        for i, text in enumerate(head)
    ]
    return (
        Group(name="loads-head", items=tuple(lines), title="Hub loads"),
        Group(name="loads", items=tuple(_drawn(study, frame, at, numbers)), title=words),
        Group(
            name="loads-table",
            items=tuple(_table(study, at, view, numbers, box, room.bottom)),
            title="Hub loads in newtons",
        ),
    )


def hardest(study: Study) -> AtSpeed | None:
    """The crank speed and case with the greatest hub load; None where forces are not known."""
    if study.forces is None:
        return None
    return max(study.forces.high, key=lambda at: max(c.hub_load for c in at.contacts))


def _words(study: Study, at: AtSpeed) -> str:
    low = " (the upper end of what is only known as an interval)"
    case = low if study.forces is not None and study.forces.interval else ""
    return (
        f"Hub loads at {at.crank_rpm:.0f} rpm of the crank{case}: how the belt pulls each hub. "
        f"Statics only: shocks and vibration come on top."
    )


def _drawn(study: Study, frame: Frame, at: AtSpeed, numbers: Mapping[str, int]) -> Iterator[Item]:
    path, belt = study.path, study.layout.belt
    yield from belts.drawn(path, frame, belt, belts.SMALL)
    greatest = max(c.hub_load for c in at.contacts)
    arrows: list[Item] = []
    for i, (contact, force) in enumerate(zip(path.contacts, at.contacts, strict=True)):
        centre = frame.point(contact.centre)
        radius = belts.disc_radius(path, i, frame, belt, belts.SMALL)
        grooved = study.layout.pulleys[contact.pulley].face == "grooved"
        yield from face_items(centre, radius, grooved, heavy=False)
        if radius >= LEAST_NUMBERED:
            yield centred(str(numbers[contact.pulley]), centre)
        if not force.slack:
            arrows += _arrow(frame, centre, radius, force, greatest)
    yield from arrows


def _arrow(
    frame: Frame,
    centre: tuple[float, float],
    radius: float,
    force: ContactForce,
    greatest: float,
) -> Iterator[Item]:
    """From the rim outwards, as long as the load is great."""
    way = frame.direction(force.hub_direction)
    start = moved(centre, way, radius)
    tip = moved(start, way, max(LONGEST * force.hub_load / greatest, 2.6))
    for pen in (Pen(stroke="paper", width=1.3), Pen(stroke="accent", width=0.6)):
        yield line(start, moved(tip, way, -1.0), pen)
    yield arrow_head(tip, way, 2.4, "accent", edged=True)


def _table(
    study: Study, at: AtSpeed, view: View, numbers: Mapping[str, int], box: Box, top: float
) -> Iterator[Item]:
    y, ends = top + LEAST_SIZE, (box.right - LOAD_AT, box.right)

    def words(text: str, x: float, anchor: Anchor = "start", *, bold: bool = False) -> Words:
        return Words(text=text, at=(x, y), size=LEAST_SIZE, bold=bold, anchor=anchor)

    yield words("pulley", box.x + NAME_AT, bold=True)
    yield words("N", ends[0], "end", bold=True)
    yield words("towards", ends[1], "end", bold=True)
    for force in at.contacts:
        y += ROW
        title = study.layout.pulleys[force.pulley].title
        yield words(str(numbers[force.pulley]), box.x, bold=True)
        yield words(shorten(title, box.width - NAMES_LEAVE, LEAST_SIZE), box.x + NAME_AT)
        yield words("slack" if force.slack else f"{force.hub_load:.0f}", ends[0], "end")
        way = "" if force.slack else f"{_seen(view, force):.0f}° from the right"
        yield words(way, ends[1], "end")


def _seen(view: View, force: ContactForce) -> float:
    """The direction in the picture, degrees anticlockwise from the right."""
    angle = 180.0 - force.hub_direction if view.mirrored else force.hub_direction
    return round(angle + view.turned) % 360.0

"""The pulleys on paper: disc, face, hub and arrow of turning; and the mark of a fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from math import radians

from beltpath.cards import belt as belts
from beltpath.cards.scene import Disc, Group, Item, Pen, line, turning_arrow
from beltpath.cards.view import Frame
from beltpath.geometry import TAU, Point
from beltpath.layout.keys import Sense
from beltpath.layout.records import Pulley
from beltpath.studies import Study

#: A smaller disc has no room for its face and its hub; the table tells its face, mm.
LEAST_FACE = 1.6
#: The least head of an arrow of turning, mm.
LEAST_HEAD = 1.1
#: Radius of a fault's mark, mm.
MARK = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Wheel:
    """One pulley on paper; `sign` +1 turns counterclockwise as seen, None when no belt is on it.

    `last` is what is written at the pulley that the steps end and begin with; empty at others.
    """

    pulley: Pulley
    number: int | None
    centre: Point
    radius: float
    sign: int | None
    turns: Sense | None
    last: str


def wheels_of(study: Study, frame: Frame, numbers: Mapping[str, int]) -> list[Wheel]:
    """Every pulley of a drive on paper, those off the belt too."""
    last = study.refit.last_on if study.verdict != "fail" else None
    # A stretch belt is cut off, and nowhere slipped off.
    words = "last on" if study.layout.belt.elastic else "last on, first off"
    met = {contact.pulley: i for i, contact in enumerate(study.path.contacts)}
    return [
        _wheel(
            study, frame, pulley, met.get(name), numbers.get(name), words if name == last else ""
        )
        for name, pulley in study.layout.pulleys.items()
    ]


def _wheel(
    study: Study, frame: Frame, pulley: Pulley, i: int | None, number: int | None, last: str
) -> Wheel:
    if i is None:
        radius, turns = study.drive.rim_radius(pulley) * frame.scale, None
    else:
        radius = belts.disc_radius(study.path, i, frame, study.layout.belt)
        turns = study.path.contacts[i].turns
    return Wheel(
        pulley=pulley,
        number=number,
        centre=frame.point(study.drive.centre(pulley.name)),
        radius=radius,
        sign=None if turns is None else frame.view.sign(turns),
        turns=turns,
        last=last,
    )


def pulley_group(number: int, wheel: Wheel, covered: Set[str | None]) -> Group:
    """A pulley with its hub, unless a label covers that."""
    pulley = wheel.pulley
    turns = "no belt" if wheel.turns is None else f"turns {wheel.turns}, seen from the front"
    return Group(
        name=f"pulley-{number}",
        items=tuple(_pulley_items(wheel, hub=pulley.name not in covered)),
        title=pulley.title,
        description=f"{pulley.role}, {pulley.face}, {turns}",
    )


def _pulley_items(wheel: Wheel, *, hub: bool) -> Iterator[Item]:
    crank = wheel.pulley.role == "crank"
    yield from face_items(wheel.centre, wheel.radius, wheel.pulley.face == "grooved", crank)
    if wheel.sign is None:
        yield Disc(centre=wheel.centre, radius=wheel.radius, pen=Pen(width=0.25, dash=(1.2, 0.8)))
    if hub and (crank or wheel.radius >= LEAST_FACE):
        size = min(1.1 if crank else 0.45, wheel.radius / 3.0)
        yield Disc(centre=wheel.centre, radius=size, pen=Pen(stroke=None, width=0.0, fill="ink"))
    if wheel.sign is not None:
        yield from turning_arrow(
            wheel.centre,
            wheel.radius * 0.68,
            wheel.sign,
            middle=radians(-90),
            sweep=radians(220),
            pen=Pen(stroke="accent", width=0.35),
            head=max(min(2.4, wheel.radius * 0.5), LEAST_HEAD),
        )


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

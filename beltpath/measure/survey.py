"""What a person measured at the engine, as frozen records. Everything here is in mm and degrees.

A *target* is anything whose centre is to be found: a pulley, or a named point such as the pivot of
a tensioner's arm. Picture coordinates are pixels, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from beltpath.geometry import Point
from beltpath.layout import Layout
from beltpath.toml_lines import LineIndex

Over = Literal["centres", "outside", "gap"]
Relation = Literal["above", "below", "left_of", "right_of"]
RELATIONS: tuple[Relation, ...] = get_args(Relation)
#: How often each rim's radius enters a tape reading: over the far rims +1, rim to rim −1.
RIM_SIGN: Mapping[Over, int] = {"centres": 0, "outside": 1, "gap": -1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A pulley or point to be found. `radius` is that of its rim, None for a point without one.

    `radius_sigma` is 1 sigma of that radius by the way it was measured. `depth` tells how far the
    front of its rim stands in front of the others (towards the camera).
    """

    name: str
    radius: float | None
    radius_sigma: float = 0.0
    depth: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """One distance read from a tape, with 1 `sigma`, over what `over` says."""

    start: str
    end: str
    distance: float
    over: Over
    sigma: float

    @property
    def pair(self) -> frozenset[str]:
        """The two targets between which it runs."""
        return frozenset((self.start, self.end))


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """The direction from one target to another, degrees, taken as exact: it fixes the turn.

    `above` names a target that lies above the line through both.
    """

    start: str
    end: str
    angle: float
    above: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """Points clicked on rims in one photograph, each with `sigma` pixels in x and in y.

    `size` is the picture's width and height in pixels; `focal` the lens's focal length in mm, as
    the equivalent for 35 mm film. Both are None where the file does not say.
    """

    rims: Mapping[str, tuple[Point, ...]]
    sigma: float
    file: str | None = None
    size: tuple[float, float] | None = None
    focal: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What anybody sees from the front: `name` is above, below, left or right of `other`."""

    name: str
    relation: Relation
    other: str

    def holds(self, name: Point, other: Point) -> bool:
        """Whether it is so with the two at these places."""
        dx, dy = name[0] - other[0], name[1] - other[1]
        return {"above": dy, "below": -dy, "left_of": -dx, "right_of": dx}[self.relation] > 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """All that was measured.

    `layout` holds the facts that need no measuring of places; the centres in it mean nothing.
    `data` are the same facts as written, `lines` finds them in the file. `pivot` is the point at
    which the tensioner's arm turns, if it is to be found too.
    """

    layout: Layout
    data: Mapping[str, Any]
    targets: Mapping[str, Target]
    tapes: tuple[Tape, ...]
    level: Level
    photo: Photo | None
    placings: tuple[Placing, ...]
    pivot: str | None
    lines: LineIndex

    @property
    def tape_sigma(self) -> float:
        """1 sigma of a tape reading that does not say otherwise, mm."""
        return self.layout.accuracy

    @property
    def rims(self) -> Mapping[str, tuple[Point, ...]]:
        """The clicked rims; empty without a photograph."""
        return {} if self.photo is None else self.photo.rims

    @property
    def readings(self) -> str:
        """What was measured, counted."""
        parts = [counted(len(self.tapes), "tape reading")] if self.tapes else []
        if self.photo is not None:
            where = self.photo.file or "a photograph"
            parts.append(f"{counted(len(self.rims), 'rim')} in {where}")
        return " and ".join(parts)


def counted(number: int, thing: str) -> str:
    """How many of a thing, in words."""
    return f"{number} {thing}{'' if number == 1 else 's'}"

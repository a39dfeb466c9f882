"""What a person measured: the keys of a survey file, declared once, and the records made of them.

The pydantic models read the file strictly, and its JSON Schema is generated from them. `Level` and
`Photo` hold no lengths, so that they serve as records too. `Target`, `Tape` and `Placing` hold the
rest in mm. A *target* is anything whose centre is to be found: a pulley, or a named point such as
the pivot of a tensioner's arm. Picture coordinates are pixels, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args

from pydantic import Field

from beltpath.geometry import Point
from beltpath.layout.keys import Name, Pair, Positive, Strict
from beltpath.layout.layout import Layout
from beltpath.layout.toml import LineIndex
from beltpath.words import counted

Over = Literal["centres", "outside", "gap"]
Relation = Literal["above", "below", "left_of", "right_of"]
RELATIONS: tuple[Relation, ...] = get_args(Relation)
#: How often each rim's radius enters a tape reading: over the far rims +1, rim to rim −1.
RIM_SIGN: Mapping[Over, int] = {"centres": 0, "outside": 1, "gap": -1}
#: What a tape ran over, in words.
OVER: Mapping[Over, str] = {
    "centres": "centre to centre",
    "outside": "over the far rims",
    "gap": "rim to rim",
}

Clicks = Annotated[list[Pair], Field(min_length=3, max_length=100)]
Size = Annotated[list[Positive], Field(min_length=2, max_length=2)]
FromName = Annotated[Name, Field(alias="from", description="The one pulley or point.")]
ToName = Annotated[Name, Field(alias="to", description="The other pulley or point.")]


class PlacingKeys(Strict):
    """What a pulley's table may say beside a layout's keys."""

    above: Annotated[Name | None, Field(description="It lies higher than this one.")] = None
    below: Annotated[Name | None, Field(description="It lies lower than this one.")] = None
    left_of: Annotated[Name | None, Field(description="It lies left of this one.")] = None
    right_of: Annotated[Name | None, Field(description="It lies right of this one.")] = None
    depth: Annotated[
        float, Field(description="How far its front face stands in front of the others.")
    ] = 0.0


class PointKeys(PlacingKeys):
    """A point to be found that is no pulley: a pivot's bolt, say."""

    diameter: Annotated[Positive | None, Field(description="Of its round head, if it has one.")] = (
        None
    )


class TapeKeys(Strict):
    """One reading of the tape."""

    start: FromName
    end: ToName
    distance: Annotated[Positive, Field(description="What the tape reads.")]
    over: Annotated[
        Over, Field(description="centres, outside (over the far rims) or gap (rim to rim).")
    ]
    accuracy: Annotated[Positive | None, Field(description="1 sigma of this reading.")] = None


class Level(Strict):
    """The direction from one target to another. It is taken as exact and fixes the turn."""

    start: FromName
    end: ToName
    angle: Annotated[
        float,
        Field(ge=-360, le=360, description="Degrees of the line between both, 90 is straight up."),
    ]
    above: Annotated[Name | None, Field(description="One that lies above that line.")] = None


class Photo(Strict):
    """One photograph, with points clicked on rims."""

    file: Annotated[Name | None, Field(description="The picture's file.")] = None
    size: Annotated[Size | None, Field(description="Width and height, pixels.")] = None
    sigma: Annotated[
        Positive, Field(alias="accuracy", description="1 sigma of a click, pixels.")
    ] = 2.0
    focal: Annotated[
        float | None,
        Field(ge=8, le=600, description="Focal length, mm, as equivalent for 35 mm film."),
    ] = None
    rims: Annotated[
        dict[Name, Clicks], Field(max_length=100, description="Points on each rim, pixels.")
    ]


class SurveyKeys(Strict):
    """Everything in the file that a layout does not hold."""

    level: Annotated[
        Level, Field(description="A line between two pulleys and its angle, which fix the turn.")
    ]
    tape: Annotated[list[TapeKeys], Field(max_length=400, default_factory=list)]
    photo: Photo | None = None
    points: Annotated[dict[Name, PointKeys], Field(max_length=100, default_factory=dict)]
    pulleys: Annotated[dict[str, PlacingKeys], Field(default_factory=dict)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """A pulley or point to be found. `radius` is that of its rim, None for a point without one.

    `radius_sigma` is 1 sigma of that radius by the way it was measured. `depth` is how far the
    front of its rim stands in front of the others, towards the camera.
    """

    name: str
    radius: float | None
    radius_sigma: float = 0.0
    depth: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """One tape reading with its 1 `sigma`, over what `over` says."""

    start: str
    end: str
    distance: float
    over: Over
    sigma: float

    @property
    def pair(self) -> frozenset[str]:
        """The two targets between which it runs."""
        return frozenset((self.start, self.end))

    @property
    def in_words(self) -> str:
        """The reading in words."""
        return f"{self.start} to {self.end} {OVER[self.over]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """A relation seen from the front: `name` is above, below, left or right of `other`."""

    name: str
    relation: Relation
    other: str

    def holds(self, name: Point, other: Point) -> bool:
        """Whether the relation holds with the two at these positions."""
        dx, dy = name[0] - other[0], name[1] - other[1]
        return {"above": dy, "below": -dy, "left_of": -dx, "right_of": dx}[self.relation] > 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """All that was measured.

    `layout` holds the facts that need no measuring of positions; its centres are stand-ins. `data`
    are the same facts as written, `lines` finds them in the file. `pivot` is the point at which the
    tensioner's arm turns, if it is to be found too.
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
    def rims(self) -> Mapping[str, list[list[float]]]:
        """The clicked rims; empty without a photograph."""
        return {} if self.photo is None else self.photo.rims

    def table_of(self, name: str) -> str:
        """The table of the file that holds a target."""
        return "pulleys" if name in self.layout.pulleys else "points"

    @property
    def readings(self) -> str:
        """What was measured, counted."""
        parts = [counted(len(self.tapes), "tape reading")] if self.tapes else []
        if self.photo is not None:
            where = self.photo.file or "a photograph"
            parts.append(f"{counted(len(self.rims), 'rim')} in {where}")
        return " and ".join(parts)

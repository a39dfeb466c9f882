"""The structure of what a file of measurements holds beside the keys of a layout.

Values are as written: lengths in the file's `units`, picture points in pixels.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from beltpath.layout_model import Name, Pair, Positive, Strict
from beltpath.measure.survey import Over

Clicks = Annotated[list[Pair], Field(min_length=3, max_length=100)]
Size = Annotated[list[Positive], Field(min_length=2, max_length=2)]
FromName = Annotated[Name, Field(alias="from", description="The one pulley or point.")]
ToName = Annotated[Name, Field(alias="to", description="The other pulley or point.")]


class PlacingModel(Strict):
    """What a pulley's table may say beside a layout's keys."""

    above: Annotated[Name | None, Field(description="It lies higher than this one.")] = None
    below: Annotated[Name | None, Field(description="It lies lower than this one.")] = None
    left_of: Annotated[Name | None, Field(description="It lies left of this one.")] = None
    right_of: Annotated[Name | None, Field(description="It lies right of this one.")] = None
    depth: Annotated[
        float, Field(description="How far its front face stands in front of the others.")
    ] = 0.0


class PointModel(PlacingModel):
    """A point to be found that is no pulley: a pivot's bolt, say."""

    diameter: Annotated[Positive | None, Field(description="Of its round head, if it has one.")] = (
        None
    )


class TapeModel(Strict):
    """One reading of the tape."""

    start: FromName
    end: ToName
    distance: Annotated[Positive, Field(description="What the tape reads.")]
    over: Annotated[
        Over, Field(description="centres, outside (over the far rims) or gap (rim to rim).")
    ]
    accuracy: Annotated[Positive | None, Field(description="1 sigma of this reading.")] = None


class LevelModel(Strict):
    """The direction that fixes the turn of the whole."""

    start: FromName
    end: ToName
    angle: Annotated[
        float,
        Field(ge=-360, le=360, description="Degrees of the line between both, 90 is straight up."),
    ]
    above: Annotated[Name | None, Field(description="One that lies above that line.")] = None


class PhotoModel(Strict):
    """One photograph, with points clicked on rims."""

    file: Annotated[Name | None, Field(description="The picture's file.")] = None
    size: Annotated[Size | None, Field(description="Width and height, pixels.")] = None
    accuracy: Annotated[Positive, Field(description="1 sigma of a click, pixels.")] = 2.0
    focal: Annotated[
        float | None,
        Field(ge=8, le=600, description="Focal length, mm, as equivalent for 35 mm film."),
    ] = None
    rims: Annotated[
        dict[Name, Clicks], Field(max_length=100, description="Points on each rim, pixels.")
    ]


class MeasuresModel(Strict):
    """Everything in the file that a layout does not hold."""

    level: Annotated[
        LevelModel,
        Field(description="A line between two pulleys and its angle, which fix the turn."),
    ]
    tape: Annotated[list[TapeModel], Field(max_length=400, default_factory=list)]
    photo: PhotoModel | None = None
    points: Annotated[dict[Name, PointModel], Field(max_length=100, default_factory=dict)]
    pulleys: Annotated[dict[str, PlacingModel], Field(default_factory=dict)]

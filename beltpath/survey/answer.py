"""What came out of a survey: typed records, the answer of `measure --json`, the layout.

The records are pydantic models. The answer is `Answer` dumped under its aliases, and its JSON
Schema (docs/measured.schema.json) is generated from the same declaration. Lengths are in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from beltpath.errors import LayoutError, Problem, UsageError
from beltpath.layout import reader as layout_file
from beltpath.layout.keys import MM_PER_INCH, Units
from beltpath.layout.problems import SIGMA
from beltpath.layout.toml import quoted, write
from beltpath.survey.survey import Over, PlacingKeys, Survey
from beltpath.survey.views import Array

#: Decimals of centres and their sigmas in a layout, by its units.
DECIMALS: Mapping[Units, int] = {"mm": 2, "in": 4}
SuspectKind = Literal["tape", "click", "rim", "names", "scatter"]
Pair = tuple[float, float]
Row = Annotated[list[float], Field(min_length=3, max_length=3, description="A row.")]


class Record(BaseModel):
    """Base of every table of the answer. An infinity or NaN is refused, not written as null."""

    model_config = ConfigDict(
        frozen=True,
        allow_inf_nan=False,
        json_schema_serialization_defaults_required=True,
    )


class Centre(Record):
    """One centre. The crank's centre is the origin."""

    name: str = Field(exclude=True)
    at: Pair = Field(description="[x, y].")
    sigma: float = Field(
        serialization_alias="sigma_mm",
        description="1 sigma of each coordinate: the root of half the sum of both variances.",
    )
    sigma_xy: Pair = Field(serialization_alias="sigma_xy_mm", description="1 sigma of x and of y.")
    correlation: float = Field(description="Between x and y, −1 to 1.")


class TapeResidual(Record):
    """One tape reading."""

    kind: Literal["tape"] = "tape"
    start: str = Field(serialization_alias="from", description="The one end.")
    end: str = Field(serialization_alias="to", description="The other end.")
    over: Over = Field(description="What it runs over.")
    measured: float = Field(serialization_alias="measured_mm", description="What was read.")
    computed: float = Field(
        serialization_alias="computed_mm", description="What the solution gives."
    )
    residual: float = Field(
        serialization_alias="residual_mm", description="Computed less measured."
    )
    in_sigmas: float = Field(description="The normalized residual: over its own 1 sigma.")
    kept: bool = Field(serialization_alias="used", description="False: left out as an outlier.")


class RimResidual(Record):
    """The clicked points of one rim. `front` holds them in the front plane, mm."""

    kind: Literal["rim"] = "rim"
    pulley: str = Field(description="Its name.")
    misses: tuple[float, ...] = Field(
        serialization_alias="residuals_px",
        description="How far each point lies outside the rim, in the picture.",
    )
    kept: tuple[bool, ...] = Field(
        serialization_alias="used", description="False: left out as an outlier."
    )
    front: tuple[Pair, ...] = Field(exclude=True)
    diameter: float = Field(
        serialization_alias="diameter_mm", description="As the solution has it."
    )
    stated: float = Field(serialization_alias="stated_mm", description="As the file has it.")


class Suspect(Record):
    """Readings that do not fit the others.

    A suspect that is set aside can alone be to blame, and the rest gives usable centres. With any
    other suspect no layout is written.
    """

    kind: SuspectKind = Field(description="What is doubted.")
    pulleys: tuple[str, ...] = Field((), description="The pulleys and points it is about.")
    located: bool = Field(
        False, serialization_alias="set_aside", description="Whether the rest does without it."
    )
    message: str = Field(description="What does not fit and what to do.")


class NextReading(Record):
    """The reading, centre to centre, that would help most."""

    start: str = Field(serialization_alias="from", description="The one end.")
    end: str = Field(serialization_alias="to", description="The other end.")
    worst_after: float = Field(
        serialization_alias="worst_sigma_mm",
        description="1 sigma of the least certain centre then, along its worst direction.",
    )


class PhotoAnswer(Record):
    """The photograph."""

    file: str | None = Field(description="The picture's file.")
    image_to_front: Annotated[list[Row], Field(min_length=3, max_length=3)] = Field(
        description="From pixels to mm in the front plane, a projective map."
    )
    depth_effect_mm: Mapping[str, float] = Field(
        description="For each rim: how far any centre moves if the rim stands 10 mm nearer."
    )


class Answer(Record):
    """What was found.

    Lengths in mm, whatever the file's own units; the crank's centre is the origin; pixels where
    said so. Fields may be added, never renamed.
    """

    title: str = Field(description="The file's title.")
    usable: bool = Field(description="Whether a layout can be written.")
    pulleys: dict[str, Centre] = Field(description="Every pulley by its name.")
    points: dict[str, Centre] = Field(description="Every other point by its name.")
    rms_mm: float | None = Field(description="Of the tape readings used; null without any.")
    rms_px: float | None = Field(description="Of the clicked points used; null without any.")
    residuals: tuple[TapeResidual | RimResidual, ...] = Field(
        description="Tape readings, then rims."
    )
    suspects: tuple[Suspect, ...] = Field(description="What does not fit the rest.")
    cautions: tuple[str, ...] = Field(description="Errors that this survey could not show.")
    next: NextReading | None
    photo: PhotoAnswer | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    """A solved survey.

    `covariance` is that of all centre coordinates in the order of `centres`. `rms_mm` is that of
    the kept tape residuals, `rms_px` that of the kept points; None where there are none.
    `image_to_front` maps pixels to mm in the front plane at depth 0; None without a photograph.
    `depth_effect` gives for each rim how far any centre would move if the rim stood 10 mm nearer.
    """

    survey: Survey
    centres: Mapping[str, Centre]
    covariance: Array
    tapes: tuple[TapeResidual, ...]
    rims: tuple[RimResidual, ...]
    rms_mm: float | None
    rms_px: float | None
    suspects: tuple[Suspect, ...]
    doubts: tuple[str, ...]
    next_reading: NextReading | None
    image_to_front: Array | None
    depth_effect: Mapping[str, float]

    def __repr__(self) -> str:
        """One line: what it is of, and whether it can be used."""
        told = "usable" if self.usable else "not usable"
        return f"<Measurement {self.survey.layout.title!r}: {len(self.centres)} centres, {told}>"

    @property
    def usable(self) -> bool:
        """Whether the centres can be used: every reading that does not fit could be left out."""
        return all(suspect.located for suspect in self.suspects)

    def layout_text(self) -> str:
        """The layout's text, in the survey's units, with `at` and `accuracy` of every pulley.

        Raises UsageError when a reading that does not fit could not be left out, and LayoutError
        when the centres are too uncertain or, in rare cases, make no valid layout.
        """
        if not self.usable:
            reasons = "; ".join(s.message for s in self.suspects if not s.located)
            raise UsageError(f"no layout can be written from these measurements: {reasons}")
        _refuse_vague(self)
        text = write(_layout_data(self), comments={"": "\n".join(_comments(self))})
        layout_file.parse(text)
        return text


def measurement_answer(measurement: Measurement) -> dict[str, Any]:
    """The machine-readable answer as plain values: `Answer` dumped, ready for JSON."""
    pulleys = measurement.survey.layout.pulleys
    centres = measurement.centres
    photo, found = measurement.survey.photo, measurement.image_to_front
    return Answer(
        title=measurement.survey.layout.title,
        usable=measurement.usable,
        pulleys={name: one for name, one in centres.items() if name in pulleys},
        points={name: one for name, one in centres.items() if name not in pulleys},
        rms_mm=measurement.rms_mm,
        rms_px=measurement.rms_px,
        residuals=(*measurement.tapes, *measurement.rims),
        suspects=measurement.suspects,
        cautions=measurement.doubts,
        next=measurement.next_reading,
        photo=None
        if photo is None or found is None
        else PhotoAnswer(
            file=photo.file,
            image_to_front=found.tolist(),
            depth_effect_mm=measurement.depth_effect,
        ),
    ).model_dump(mode="json", by_alias=True)


def _comments(measurement: Measurement) -> Iterator[str]:
    yield f"Centres found from {measurement.survey.readings}; accuracy is 1 sigma."
    yield from (f"Left out: {suspect.message}" for suspect in measurement.suspects)
    yield from (f"Note: {doubt}" for doubt in measurement.doubts)
    for name, c in measurement.centres.items():
        if name not in measurement.survey.layout.pulleys:
            yield (
                f"Point {name}: [{c.at[0]:.1f}, {c.at[1]:.1f}] mm, ± {c.sigma:.1f} mm, which the "
                f"belt's ± does not count"
            )


def _refuse_vague(measurement: Measurement) -> None:
    """Refuse centres too uncertain for a layout, by the key that makes them so."""
    survey = measurement.survey
    worst = max(
        (measurement.centres[name] for name in survey.data["pulleys"]), key=lambda one: one.sigma
    )
    if worst.sigma <= SIGMA.high:
        return
    problem = Problem(
        _accuracy_key(survey),
        f"the place of {quoted(worst.name)} comes out uncertain by {worst.sigma:.0f} mm (1 sigma), "
        f"and a layout allows {SIGMA.high:.0f} mm; measure closer, or say how well you measured",
    )
    raise LayoutError([survey.lines.placed(problem)])


def _accuracy_key(survey: Survey) -> str:
    """The key of the file that holds the largest sigma; empty where it is a default."""
    worst = max(survey.tapes, key=lambda tape: tape.sigma, default=None)
    if worst is None:
        path = "photo.accuracy"
    elif worst.sigma == survey.tape_sigma:
        path = "accuracy"
    else:
        path = f"tape.{survey.tapes.index(worst) + 1}.accuracy"
    return path if survey.lines.holds(path) else ""


def _layout_data(measurement: Measurement) -> dict[str, Any]:
    """The survey's own layout keys with the centres and their sigmas put in."""
    survey, centres = measurement.survey, measurement.centres
    unit, decimals = survey.layout.units, DECIMALS[survey.layout.units]

    def rounded(mm: float) -> float:
        # Adding 0 makes a negative zero positive.
        return round(mm / (MM_PER_INCH if unit == "in" else 1.0), decimals) + 0.0

    data = {key: value for key, value in survey.data.items() if key != "accuracy"}
    data["pulleys"] = {
        name: {
            "at": [rounded(v) for v in centres[name].at],
            **{k: v for k, v in pulley.items() if k not in PlacingKeys.model_fields},
            "accuracy": rounded(centres[name].sigma),
        }
        for name, pulley in survey.data["pulleys"].items()
    }
    if survey.pivot is not None:
        pivot = [rounded(v) for v in centres[survey.pivot].at]
        data["tensioner"] = {**data["tensioner"], "pivot": pivot}
    return data

"""The keys of a layout file, declared once: each with its kind, bounds, unit and meaning.

A file is read strictly by these models (unknown keys are refused), the JSON Schema is generated
from them, and `convert` takes values from the file's units to mm and back by the `Unit` that a
field carries. A number without a `Unit` is the same in every file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from functools import cache
from math import isfinite
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from beltpath.data.sections import SectionName

Face = Literal["grooved", "smooth"]
Side = Literal["ribs", "back"]
Sense = Literal["clockwise", "counterclockwise"]
Reach = Literal["easy", "hard"]
Units = Literal["mm", "in"]
#: What turns the crank.
Driver = Literal["engine", "motor", "other"]
TensionerKind = Literal["arm", "slide", "swing"]
HowMeasured = Literal["diameter", "outside", "over_balls", "around"]
Role = Literal[
    "crank",
    "alternator",
    "compressor",
    "water-pump",
    "steering-pump",
    "vacuum-pump",
    "fan",
    "blower",
    "pump",
    "idler",
    "tensioner",
    "other",
]
ROLES: tuple[Role, ...] = get_args(Role)
HOW_MEASURED: tuple[HowMeasured, ...] = get_args(HowMeasured)
#: Characters of a name or label.
LONGEST_NAME = 60
LONGEST_TITLE = 120
MOST_PULLEYS = 100


#: Millimetres in an inch, by definition.
MM_PER_INCH = 25.4


def finite(value: object) -> float | None:
    """A finite number as a float; None for anything else, true and false included."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if isfinite(number) else None


class Unit(Enum):
    """What a number of the file is measured in, where that depends on the file."""

    #: The file's `units`.
    LENGTH = "length"
    #: A position of the tensioner: a length for a slide, degrees for an arm or swing.
    TRAVEL = "travel"
    #: Something for each unit of the tensioner's travel.
    PER_TRAVEL = "per travel"


Name = Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_NAME)]
Positive = Annotated[float, Field(gt=0)]
Length = Annotated[float, Unit.LENGTH]
PositiveLength = Annotated[float, Field(gt=0), Unit.LENGTH]
Travel = Annotated[float, Unit.TRAVEL]
Pair = Annotated[list[float], Field(min_length=2, max_length=2)]
Place = Annotated[list[Length], Field(min_length=2, max_length=2)]
Window = Annotated[list[Travel], Field(min_length=2, max_length=2)]


class Strict(BaseModel):
    """Base of every table: strict kinds, no unknown keys, no NaN and no infinity."""

    model_config = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


def _one_of_sizes(schema: dict[str, Any]) -> None:
    schema["oneOf"] = [{"required": [how]} for how in HOW_MEASURED]


class LoadModel(Strict):
    """What an accessory takes: one of `power_kw` and `torque_nm`."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["power_kw"]}, {"required": ["torque_nm"]}]}
    )

    power_kw: Annotated[
        float | None, Field(ge=0, le=10_000, description="Power in kW at any speed.")
    ] = None
    torque_nm: Annotated[
        float | None, Field(ge=0, le=100_000, description="A constant torque in N·m.")
    ] = None


class PulleyModel(Strict):
    """One pulley: where it is, how large, what its rim is and what it does."""

    model_config = ConfigDict(json_schema_extra=_one_of_sizes)

    at: Annotated[Place, Field(description="Centre, [x, y], seen from the front.")]
    diameter: Annotated[
        PositiveLength | None,
        Field(description="Effective diameter (grooved) or outside diameter (smooth)."),
    ] = None
    outside: Annotated[
        PositiveLength | None, Field(description="Diameter over the groove tips.")
    ] = None
    over_balls: Annotated[
        PositiveLength | None, Field(description="Diameter over two balls or rods in the grooves.")
    ] = None
    around: Annotated[
        PositiveLength | None, Field(description="Tape once round the rim: a circumference.")
    ] = None
    face: Annotated[Face, Field(description="What the rim is.")]
    role: Annotated[Role, Field(description="What the pulley does; exactly one is the crank.")]
    side: Annotated[Side | None, Field(description="The side of the belt that must touch it.")] = (
        None
    )
    turns: Annotated[
        Sense | None, Field(description="The sense it must turn in, seen from the front.")
    ] = None
    grooves: Annotated[int | None, Field(ge=1, le=100, description="Number of grooves.")] = None
    rim: Annotated[
        PositiveLength | None, Field(description="Outermost diameter, flanges included.")
    ] = None
    offset: Annotated[
        Length, Field(description="How far its belt plane stands in front of the crank's.")
    ] = 0.0
    min_wrap: Annotated[
        float | None, Field(ge=0, le=360, description="Least wrap in degrees, over the guide's.")
    ] = None
    max_rpm: Annotated[
        Positive | None, Field(le=1_000_000, description="Greatest speed in rpm.")
    ] = None
    load: LoadModel | None = None
    reach: Annotated[
        Reach | None, Field(description="How easily a hand gets at it when fitting the belt.")
    ] = None
    accuracy: Annotated[
        Length | None,
        Field(ge=0, description="1 sigma of its centre; default the layout's, 0 for the crank."),
    ] = None
    label: Annotated[Name | None, Field(description="What the card calls it.")] = None


class BeltModel(Strict):
    """The belt's section, and its length if one is in hand."""

    section: Annotated[SectionName, Field(description="ISO 9981, ISO 9982 or ISO 2790 section.")]
    ribs: Annotated[int, Field(ge=1, le=100, description="Number of ribs.")] = 1
    length: Annotated[PositiveLength | None, Field(description="Effective length in hand.")] = None
    tolerance: Annotated[Length | None, Field(ge=0, description="± on that length.")] = None
    double_sided: Annotated[bool, Field(description="Ribs on both sides.")] = False
    elastic: Annotated[bool, Field(description="Stretch-fit belt, no tensioner.")] = False
    back: Annotated[PositiveLength | None, Field(description="Effective line to belt back.")] = None
    height: Annotated[PositiveLength | None, Field(description="Belt height.")] = None


class SpringModel(Strict):
    """A tensioner's spring: `torque` of an arm or `force` of a slide, where, and its rate."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["torque"]}, {"required": ["force"]}]}
    )

    torque: Annotated[Positive | None, Field(le=10_000, description="An arm's moment in N·m.")] = (
        None
    )
    force: Annotated[Positive | None, Field(le=1_000_000, description="A slide's force in N.")] = (
        None
    )
    at: Annotated[
        Travel,
        Field(ge=-20_000, le=20_000, description="The tensioner's position where it is so."),
    ]
    rate: Annotated[
        float,
        Unit.PER_TRAVEL,
        Field(ge=-1e6, le=1e6, description="Change of it, N·m per degree or N per unit of length."),
    ] = 0.0


class TensionerModel(Strict):
    """The tensioner: its pulley, how that can move, its stops and window."""

    pulley: Annotated[Name, Field(description="Which pulley it carries.")]
    kind: Annotated[TensionerKind, Field(description="arm, slide or swing.")]
    pivot: Annotated[Place | None, Field(description="Pivot of an arm or swing, [x, y].")] = None
    along: Annotated[
        float | None, Field(ge=-360, le=360, description="Direction of a slide, degrees.")
    ] = None
    free: Annotated[Travel, Field(description="Free stop: no belt. Degrees, or slide distance.")]
    load: Annotated[Travel, Field(description="Load stop: lever held fully over.")]
    window: Annotated[Window | None, Field(description="Where the maker wants the arm.")] = None
    spring: SpringModel | None = None
    lever: Annotated[Name | None, Field(description="The tool for the lever.")] = None
    release: Annotated[
        Sense | None, Field(description="The way its lever goes to slacken, if a label tells.")
    ] = None


class RunningModel(Strict):
    """How the drive runs; brings the force checks."""

    crank_rpm: Annotated[
        list[Annotated[float, Field(ge=1, le=100_000)]],
        Field(min_length=1, max_length=20, description="Crank speeds, rpm."),
    ]
    friction_ribs: Annotated[
        Positive | None, Field(le=100, description="Effective friction of ribs in grooves.")
    ] = None
    friction_back: Annotated[
        Positive | None, Field(le=100, description="Effective friction of the back.")
    ] = None
    mass_per_rib: Annotated[
        Positive | None, Field(ge=1e-6, le=1000, description="kg per m and rib.")
    ] = None
    stiffness_per_rib: Annotated[
        Positive | None, Field(le=1e9, description="Cord stiffness, N per rib and unit strain.")
    ] = None
    tension: Annotated[
        Positive | None,
        Field(le=1e6, description="Belt tension in N, measured with the belt at rest."),
    ] = None


class LayoutModel(Strict):
    """The measured facts of one belt drive."""

    title: Annotated[
        str,
        StringConstraints(min_length=1, max_length=LONGEST_TITLE),
        Field(description="Printed on top."),
    ]
    units: Annotated[Units, Field(description="The unit of every length in the file.")] = "mm"
    crank_turns: Annotated[Sense, Field(description="Seen from the front.")] = "clockwise"
    driver: Annotated[
        Driver, Field(description="What turns the crank; steps and cautions follow from it.")
    ] = "engine"
    accuracy: Annotated[
        Length | None,
        Field(ge=0, description="1 sigma of the centres from the crank's; default 1 mm."),
    ] = None
    notes: Annotated[
        str, StringConstraints(max_length=1000), Field(description="Printed on the card.")
    ] = ""
    route: Annotated[
        list[Name] | None,
        Field(
            max_length=MOST_PULLEYS,
            description="The order in which the belt meets the pulleys, in its travel.",
        ),
    ] = None
    belt: Annotated[BeltModel, Field(description="The table [belt]: its section and ribs.")]
    pulleys: Annotated[
        dict[Name, PulleyModel],
        Field(max_length=MOST_PULLEYS, description="The table [pulleys]: a line for each pulley."),
    ]
    tensioner: TensionerModel | None = None
    running: RunningModel | None = None


def meanings(place: Sequence[str], model: type[BaseModel] = LayoutModel) -> dict[str, str]:
    """The keys that the table at this place knows, each with what it means.

    `model` is that of the whole file. Places whose tables may hold any key give nothing.
    """
    found = _model_at(place, model)
    fields = {} if found is None else found.model_fields
    return {field.alias or key: field.description or "" for key, field in fields.items()}


@cache
def units_of(model: type[BaseModel]) -> Mapping[str, Unit]:
    """The keys of a table whose numbers depend on the file, each with its unit."""
    found = {
        key: _unit_in((*field.metadata, field.annotation))
        for key, field in model.model_fields.items()
    }
    return {key: unit for key, unit in found.items() if unit is not None}


def _unit_in(hints: Sequence[object]) -> Unit | None:
    """The unit that stands in type hints, however deep inside."""
    for hint in hints:
        if unit := hint if isinstance(hint, Unit) else _unit_in(get_args(hint)):
            return unit
    return None


def _model_at(place: Sequence[str], model: type[BaseModel]) -> type[BaseModel] | None:
    """The model of the table at this place, None where a table may hold any key."""
    parts = iter(place)
    for part in parts:
        annotation = model.model_fields[part].annotation
        models = _models_in(annotation)
        if not models:
            return None
        model = models[0]
        # A table of tables, or a list of them: the next part is a name or a number.
        if get_origin(annotation) in (dict, list):
            next(parts, None)
    return model


def _models_in(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in get_args(annotation) for model in _models_in(inner)]

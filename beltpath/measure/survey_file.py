"""The text of a file of measurements -> Survey, with every mistake told at once.

What such a file has in common with a layout is read by the layout's own reader, with stand-ins for
the centres that are to be found; the rest is read here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import hypot
from typing import Any

from pydantic import ValidationError

from beltpath import layout_file
from beltpath.errors import LayoutError
from beltpath.layout import Layout, Pulley, rim_diameter
from beltpath.layout_model import LayoutModel, PulleyModel
from beltpath.layout_values import MM_PER_INCH
from beltpath.layout_writer import write
from beltpath.measure.survey import RELATIONS, Level, Photo, Placing, Survey, Tape, Target
from beltpath.measure.survey_model import MeasuresModel, PointModel, TapeModel
from beltpath.measure.survey_problems import (
    OWN_KEYS,
    OWN_PULLEY_KEYS,
    key_problems,
    measure_problems,
    reference_problems,
    structure_problems,
    tables,
)
from beltpath.toml_lines import LineIndex
from beltpath.uncertainty import diameter_sigma

#: 1 sigma of a diameter that a calliper takes on the rim itself, mm (guide value, from memory).
CALLIPER = 0.3
#: 1 sigma of a groove-tip diameter reckoned from the effective one, mm: what the guide value
#: for `outside` (0.45) holds beyond the calliper's own.
TIPS = 0.34
#: Stand-ins for unknown centres: apart from one another and from any number that a person writes.
_STEP, _HEIGHT = 5.0, 777.123


def parse(text: str, *, name: str = "survey") -> Survey:
    """Read a file of measurements: a layout without `at`, and what was measured.

    Raises LayoutError with every mistake found, each with its key path and line.
    """
    text = text.removeprefix("\ufeff")
    data = layout_file.toml_data(text)
    lines = LineIndex(text)
    problems = [*key_problems(data), *reference_problems(data)]
    layout = measures = None
    try:
        layout = layout_file.parse(write(_layout_data(data)), name=name)
    except LayoutError as error:
        problems += [replace(problem, line=None) for problem in error.problems]
    try:
        measures = MeasuresModel.model_validate(_measures_data(data))
    except ValidationError as error:
        problems += structure_problems(error)
    if layout is not None and measures is not None and not problems:
        survey = _survey(data, layout, measures, lines)
        problems += measure_problems(survey)
        if not problems:
            return survey
    raise LayoutError([lines.placed(problem) for problem in lines.in_order(problems)])


def _layout_data(data: Mapping[str, Any]) -> dict[str, Any]:
    """The part of the file that a layout holds too, with stand-ins for what is to be found."""
    kept = {key: value for key, value in data.items() if key in LayoutModel.model_fields}
    pulleys = kept.get("pulleys")
    if isinstance(pulleys, dict):
        kept["pulleys"] = {
            name: _stand_in(pulley, number) if isinstance(pulley, dict) else pulley
            for number, (name, pulley) in enumerate(pulleys.items())
        }
    tensioner = kept.get("tensioner")
    if isinstance(tensioner, dict) and isinstance(tensioner.get("pivot"), str):
        kept["tensioner"] = {**tensioner, "pivot": [0.0, 0.0]}
    return kept


def _stand_in(pulley: Mapping[str, Any], number: int) -> dict[str, Any]:
    kept = {k: v for k, v in pulley.items() if k in PulleyModel.model_fields}
    return {**kept, "at": [_STEP * number, _HEIGHT], "accuracy": 0.0}


def _measures_data(data: Mapping[str, Any]) -> dict[str, Any]:
    """The part of the file that a layout does not hold."""
    own = {key: data[key] for key in OWN_KEYS if key in data}
    own["pulleys"] = {
        name: {key: pulley[key] for key in OWN_PULLEY_KEYS if key in pulley}
        for name, pulley in tables(data, "pulleys").items()
    }
    return own


def _survey(
    data: Mapping[str, Any], layout: Layout, measures: MeasuresModel, lines: LineIndex
) -> Survey:
    scale = MM_PER_INCH if layout.units == "in" else 1.0
    level = measures.level
    tensioner = data.get("tensioner", {})
    return Survey(
        layout=layout,
        data={key: value for key, value in data.items() if key not in OWN_KEYS},
        targets=_targets(layout, measures, scale),
        tapes=tuple(_tape(tape, scale, layout.accuracy) for tape in measures.tape),
        level=Level(start=level.start, end=level.end, angle=level.angle, above=level.above),
        photo=_photo(measures),
        placings=tuple(_placings(measures)),
        pivot=tensioner["pivot"] if isinstance(tensioner.get("pivot"), str) else None,
        lines=lines,
    )


def _targets(layout: Layout, measures: MeasuresModel, scale: float) -> dict[str, Target]:
    found = {
        name: _pulley_target(pulley, layout, measures.pulleys[name].depth * scale)
        for name, pulley in layout.pulleys.items()
    }
    for name, point in measures.points.items():
        found[name] = _point_target(name, point, scale)
    return found


def _pulley_target(pulley: Pulley, layout: Layout, depth: float) -> Target:
    return Target(
        name=pulley.name,
        radius=rim_diameter(pulley, layout.belt.section) / 2.0,
        radius_sigma=_rim_sigma(pulley) / 2.0,
        depth=depth,
    )


def _rim_sigma(pulley: Pulley) -> float:
    """1 sigma of the rim's diameter, mm: measured on the rim itself, or reckoned from the grooves.

    What `outside` leaves open for the effective diameter does not matter to the rim.
    """
    how = pulley.measured.how
    if pulley.rim is not None or how == "outside":
        return CALLIPER
    if pulley.face == "smooth" or how == "around":
        return diameter_sigma(pulley.measured)
    return hypot(diameter_sigma(pulley.measured), TIPS)


def _point_target(name: str, point: PointModel, scale: float) -> Target:
    if point.diameter is None:
        return Target(name=name, radius=None, depth=point.depth * scale)
    return Target(
        name=name,
        radius=point.diameter * scale / 2.0,
        radius_sigma=CALLIPER / 2.0,
        depth=point.depth * scale,
    )


def _tape(model: TapeModel, scale: float, sigma: float) -> Tape:
    return Tape(
        start=model.start,
        end=model.end,
        distance=model.distance * scale,
        over=model.over,
        sigma=sigma if model.accuracy is None else model.accuracy * scale,
    )


def _photo(measures: MeasuresModel) -> Photo | None:
    model = measures.photo
    if model is None:
        return None
    return Photo(
        rims={name: tuple((x, y) for x, y in clicks) for name, clicks in model.rims.items()},
        sigma=model.accuracy,
        file=model.file,
        size=None if model.size is None else (model.size[0], model.size[1]),
        focal=model.focal,
    )


def _placings(measures: MeasuresModel) -> Iterator[Placing]:
    for name, model in (*measures.pulleys.items(), *measures.points.items()):
        for relation in RELATIONS:
            if (other := getattr(model, relation)) is not None:
                yield Placing(name=name, relation=relation, other=other)

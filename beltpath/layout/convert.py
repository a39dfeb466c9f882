"""The tables of a layout file to the records of a layout, in mm, and back.

Both ways walk the fields of the declaration in `keys`: a number is converted by the `Unit` of its
key. What a record holds in another form than its table is written out here, key by key.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from math import inf, nextafter
from types import MappingProxyType
from typing import Any, NamedTuple

from beltpath.data.sections import Section, length_tolerance, section
from beltpath.layout.keys import (
    HOW_MEASURED,
    MM_PER_INCH,
    BeltModel,
    LayoutModel,
    LoadModel,
    PulleyModel,
    RunningModel,
    SpringModel,
    Strict,
    TensionerModel,
    Unit,
    finite,
    units_of,
)
from beltpath.layout.records import Belt, Load, Measured, Pulley, Running, Spring, Tensioner

#: 1 sigma of a centre whose layout does not say, mm.
ACCURACY = 1.0
#: A float has no more decimals than this that a length needs.
_DIGITS = 13


class _Nothing:
    """What stands where a value must: the keys refuse it, while None is a key left out."""

    def __str__(self) -> str:
        return "None"


class Scale(NamedTuple):
    """The units of one file: what a length and a step of the tensioner's travel are in mm.

    The travel of an arm or swing stays in degrees; `effort` is the key of a spring's effort.
    """

    length: float
    travel: float
    effort: str

    def read(self, unit: Unit, number: float) -> float:
        """A number of the file in mm, or by the mm."""
        if unit is Unit.PER_TRAVEL:
            return number / self.travel
        return number * (self.length if unit is Unit.LENGTH else self.travel)

    def written(self, unit: Unit, value: Any) -> Any:
        """The number in the fewest digits that `read` makes this value of."""
        factor = self.length if unit is Unit.LENGTH else self.travel
        if factor == 1.0 or finite(value) is None:
            return value
        near = float(value * (factor if unit is Unit.PER_TRAVEL else 1.0 / factor))
        tried = [*(round(near, digits) for digits in range(_DIGITS)), near]
        tried += [nextafter(near, inf), nextafter(near, -inf)]
        return next((number for number in tried if self.read(unit, number) == value), near)


def scale_of(units: object, kind: object = None) -> Scale:
    """The scale of a file in these units, with a tensioner of this kind."""
    length = MM_PER_INCH if units == "in" else 1.0
    return Scale(length, length, "force") if kind == "slide" else Scale(length, 1.0, "torque")


# --- tables to records ---------------------------------------------------------------------------


def facts_of(table: LayoutModel) -> dict[str, Any]:
    """The fields of the layout that a sound table says, by their names."""
    scale = scale_of(table.units, None if table.tensioner is None else table.tensioner.kind)
    return _in_mm(table, scale) | {
        "accuracy": ACCURACY if table.accuracy is None else table.accuracy * scale.length,
        "belt": _belt(table.belt, scale),
        "pulleys": {name: _pulley(name, one, scale) for name, one in table.pulleys.items()},
        "tensioner": None if table.tensioner is None else _tensioner(table.tensioner, scale),
        "running": None if table.running is None else Running(**_in_mm(table.running, scale)),
    }


def _in_mm(table: Strict, scale: Scale) -> dict[str, Any]:
    """The values of one table in mm, its lists as tuples; tables inside it stay as they are."""
    units = units_of(type(table))
    return {key: _converted(value, units.get(key), scale.read) for key, value in table}


def _converted(value: Any, unit: Unit | None, convert: Callable[[Unit, Any], Any]) -> Any:
    if isinstance(value, list | tuple):
        return tuple(_converted(one, unit, convert) for one in value)
    return value if unit is None or value is None else convert(unit, value)


def _belt(table: BeltModel, scale: Scale) -> Belt:
    sect, facts = section(table.section), _in_mm(table, scale)
    assumed = table.tolerance is None and table.length is not None
    if assumed:
        facts["tolerance"] = length_tolerance(facts["length"])
    back, height = _thickness(facts, sect)
    return Belt(
        **{**facts, "section": sect, "back": back, "height": height},
        reckoned=table.double_sided and table.height is None,
        tolerance_assumed=assumed,
    )


def _thickness(facts: Mapping[str, Any], sect: Section) -> tuple[float, float]:
    """T and h in mm. A double-sided belt is symmetric about its cord: t = h/2 + b_e."""
    back, height = facts["back"], facts["height"]
    if facts["double_sided"]:
        if height is None:
            height = 2.0 * (sect.height - sect.back + sect.b_e)
        return (height / 2.0 + sect.b_e if back is None else back), height
    return (sect.back if back is None else back), (sect.height if height is None else height)


def _pulley(name: str, table: PulleyModel, scale: Scale) -> Pulley:
    facts = _in_mm(table, scale)
    sizes = [(how, facts.pop(how)) for how in HOW_MEASURED]
    facts["measured"] = next(Measured(how, size) for how, size in sizes if size is not None)
    if table.load is not None:
        facts["load"] = Load(**dict(table.load))
    return Pulley(name=name, **facts)


def _tensioner(table: TensionerModel, scale: Scale) -> Tensioner:
    facts = _in_mm(table, scale)
    if table.spring is not None:
        spring = _in_mm(table.spring, scale)
        torque, force = spring.pop("torque"), spring.pop("force")
        facts["spring"] = Spring(effort=force if torque is None else torque, **spring)
    return Tensioner(**facts)


# --- records to tables ---------------------------------------------------------------------------


def tables_of(layout: Any) -> dict[str, Any]:
    """The tables of a file that is read as this layout.

    Values of a wrong kind are handed on as they are, so that the keys refuse them.
    """
    scale = scale_of(layout.units, getattr(layout.tensioner, "kind", None))
    always = {key: {key: getattr(layout, key)} for key in ("units", "crank_turns")}
    return _table(layout, LayoutModel, scale, always)


def _table(
    record: Any, model: type[Strict], scale: Scale, odd: Mapping[str, Mapping[str, Any]] = {}
) -> dict[str, Any]:
    """The table of one record, without the keys that say what is so without them.

    `odd` gives the keys of those fields that are written in another form.
    """
    units, found = units_of(model), dict[str, Any]()
    for field in fields(record):
        name, value = field.name, getattr(record, field.name)
        if name in odd:
            found |= odd[name]
        elif name in model.model_fields and not _usual(value, field.default):
            found[name] = _written(value, units.get(name), scale)
    return found


def _usual(value: object, default: object) -> bool:
    """Whether a value is the default, by which a key may be left out; false is not 0."""
    return value == default and isinstance(value, bool) == isinstance(default, bool)


def _written(value: Any, unit: Unit | None, scale: Scale) -> Any:
    """One value as it stands in the file: records as tables, numbers in the file's units."""
    if isinstance(value, MappingProxyType):
        return {key: _written(one, None, scale) for key, one in value.items()}
    if type(value) in _MODELS:
        return _table(value, _MODELS[type(value)], scale, _odd_keys(value, scale))
    if value is None:
        return _Nothing()
    written = _converted(value, unit, scale.written)
    return list(written) if isinstance(written, tuple) else written


def _odd_keys(record: Any, scale: Scale) -> Mapping[str, Mapping[str, Any]]:
    """The keys of the fields that a record holds in another form than its table."""
    match record:
        case Pulley(measured=Measured(how, value)):
            return {"measured": {str(how): _written(value, Unit.LENGTH, scale)}}
        case Pulley():
            return {"measured": {"diameter": record.measured}}
        case Spring():
            return {"effort": {scale.effort: _written(record.effort, None, scale)}}
        case Belt():
            return {"section": {"section": record.section.name}, **_left_out(record)}
    return {}


def _left_out(belt: Belt) -> Mapping[str, Mapping[str, Any]]:
    """The fields of a belt that the reader comes to by itself: they have no keys."""
    left_out: tuple[str, ...] = ()
    if belt.double_sided:
        left_out = ("height",) if belt.reckoned is True else ()
    elif (belt.back, belt.height) == (belt.section.back, belt.section.height):
        left_out = ("back", "height")
    length = finite(belt.length) or 0.0
    if belt.tolerance_assumed and length > 0.0 and belt.tolerance == length_tolerance(length):
        left_out += ("tolerance",)
    return {field: {} for field in left_out}


_MODELS: Mapping[type, type[Strict]] = {
    Belt: BeltModel,
    Pulley: PulleyModel,
    Load: LoadModel,
    Tensioner: TensionerModel,
    Spring: SpringModel,
    Running: RunningModel,
}

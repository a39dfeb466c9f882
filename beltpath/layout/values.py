"""A layout's values as the tables of its file: what `tomllib` would read, lengths in its `units`.

Values of a wrong kind are handed on as they are, so that the one set of rules refuses them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf, isfinite, nextafter
from typing import Any

from beltpath.data.sections import Section, length_tolerance
from beltpath.layout.parts import Belt, Load, Measured, Pulley, Running, Spring, Tensioner

MM_PER_INCH = 25.4
#: Keys of a pulley that are lengths, and those that stand in the file as they are.
_PULLEY_LENGTHS = ("rim", "accuracy")
_PULLEY_FACTS = ("face", "role", "side", "turns", "grooves", "min_wrap", "max_rpm", "reach")
_RUNNING = (
    "tension",
    "friction_ribs",
    "friction_back",
    "mass_per_rib",
    "stiffness_per_rib",
)
#: A float has no more decimals than this that a length needs.
_DIGITS = 13


class _Nothing:
    """What stands where a number must: the rules refuse it, while None is a key left out."""

    def __str__(self) -> str:
        return "None"


def tables_of(facts: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a file that is read as these facts: a layout's fields by their names."""
    scale = MM_PER_INCH if facts["units"] == "in" else 1.0
    found = {key: facts[key] for key in ("title", "units", "crank_turns")}
    if facts["driver"] != "engine":
        found["driver"] = facts["driver"]
    if not _is(facts["accuracy"], 1.0):
        found["accuracy"] = _length(_needed(facts["accuracy"]), scale)
    if facts["notes"] != "":
        found["notes"] = facts["notes"]
    found |= _given({"route": facts["route"]}, _listed)
    found["belt"] = _belt(facts["belt"], scale)
    found["pulleys"] = _pulleys(facts["pulleys"], scale)
    found |= _given({"tensioner": facts["tensioner"]}, lambda t: _tensioner(t, scale))
    return found | _given({"running": facts["running"]}, _running)


def _pulleys(pulleys: object, scale: float) -> object:
    if not isinstance(pulleys, Mapping):
        return pulleys
    return {key: _pulley(pulley, scale) for key, pulley in pulleys.items()}


def _pulley(pulley: object, scale: float) -> object:
    if not isinstance(pulley, Pulley):
        return pulley
    found = {"at": _point(pulley.at, scale), **_size(pulley.measured, scale)}
    found |= _given({key: getattr(pulley, key) for key in _PULLEY_FACTS})
    found |= _given(
        {key: getattr(pulley, key) for key in _PULLEY_LENGTHS}, lambda v: _length(v, scale)
    )
    if not _is(pulley.offset, 0.0):
        found["offset"] = _length(pulley.offset, scale)
    found |= _given({"load": pulley.load}, _load)
    return found | _given({"label": pulley.label})


def _size(measured: object, scale: float) -> dict[str, Any]:
    if not isinstance(measured, Measured):
        return {"diameter": measured}
    return {str(measured.how): _length(_needed(measured.value), scale)}


def _load(load: object) -> object:
    if not isinstance(load, Load):
        return load
    return _given({"power_kw": load.power_kw, "torque_nm": load.torque_nm})


def _belt(belt: object, scale: float) -> object:
    if not isinstance(belt, Belt):
        return belt
    if not isinstance(belt.section, Section):
        return {"section": belt.section, "ribs": belt.ribs}
    found: dict[str, Any] = {"section": belt.section.name, "ribs": belt.ribs}
    found |= _given({"length": belt.length, "tolerance": _own_tolerance(belt)}, _scaled(scale))
    found |= {key: True for key in ("double_sided", "elastic") if getattr(belt, key) is True}
    found |= {
        key: value
        for key in ("double_sided", "elastic")
        if not isinstance(value := getattr(belt, key), bool)
    }
    return found | _thickness(belt, scale)


def _own_tolerance(belt: Belt) -> float | None:
    """The tolerance that the file must give: None where the table's is meant."""
    if belt.tolerance_assumed and isinstance(belt.length, int | float) and 0.0 < belt.length < inf:
        return None if belt.tolerance == length_tolerance(belt.length) else belt.tolerance
    return belt.tolerance


def _thickness(belt: Belt, scale: float) -> dict[str, Any]:
    """`back` and `height` where they are not what the reader comes to by itself."""
    usual = (belt.section.back, belt.section.height)
    if not belt.double_sided and (belt.back, belt.height) == usual:
        return {}
    found = {
        "back": _length(_needed(belt.back), scale),
        "height": _length(_needed(belt.height), scale),
    }
    if belt.double_sided is True and belt.reckoned is True:
        del found["height"]
    return found


def _tensioner(tensioner: object, scale: float) -> object:
    if not isinstance(tensioner, Tensioner):
        return tensioner
    t, unit = tensioner, scale if tensioner.kind == "slide" else 1.0
    found: dict[str, Any] = {"pulley": t.pulley, "kind": t.kind}
    found |= _given({"pivot": t.pivot}, lambda pivot: _point(pivot, scale))
    found |= _given({"along": t.along})
    found |= {"free": _length(t.free, unit), "load": _length(t.load, unit)}
    found |= _given({"window": t.window}, lambda window: _point(window, unit))
    found |= _given({"spring": t.spring}, lambda spring: _spring(spring, t.kind, unit))
    return found | _given({"lever": t.lever, "release": t.release})


def _spring(spring: object, kind: str, unit: float) -> object:
    if not isinstance(spring, Spring):
        return spring
    effort = "force" if kind == "slide" else "torque"
    found = {effort: _needed(spring.effort), "at": _length(spring.at, unit)}
    if not _is(spring.rate, 0.0):
        found["rate"] = _undone(spring.rate, unit, lambda rate: rate / unit)
    return found


def _running(running: object) -> object:
    if not isinstance(running, Running):
        return running
    rpm = {"crank_rpm": _listed(running.crank_rpm)}
    return rpm | _given({key: getattr(running, key) for key in _RUNNING})


def _given(
    values: Mapping[str, Any], shown: Callable[[Any], object] = lambda value: value
) -> dict[str, Any]:
    """Those that are given at all."""
    return {key: shown(value) for key, value in values.items() if value is not None}


def _is(value: object, usual: float) -> bool:
    """Whether a value is the number that a key left out stands for; True and False are none."""
    return value == usual and not isinstance(value, bool)


def _needed(value: object) -> object:
    """A value that every record has."""
    return _Nothing() if value is None else value


def _listed(value: object) -> object:
    return list(value) if isinstance(value, tuple | list) else value


def _point(point: object, scale: float) -> object:
    listed = _listed(point)
    return [_length(v, scale) for v in listed] if isinstance(listed, list) else listed


def _scaled(scale: float) -> Callable[[Any], Any]:
    return lambda value: _length(value, scale)


def _length(mm: Any, scale: float) -> Any:
    """A length in the file's unit, in the fewest digits that are read as that length again."""
    return mm if scale == 1.0 else _undone(mm, 1.0 / scale, lambda given: given * scale)


def _undone(value: Any, by: float, read: Callable[[float], float]) -> Any:
    """The number that `read` makes `value` of; `by` is the factor that comes near it."""
    if not isinstance(value, int | float) or isinstance(value, bool) or not isfinite(value):
        return value
    near = float(value * by)
    tried = [*(round(near, digits) for digits in range(_DIGITS)), near]
    tried += [nextafter(near, inf), nextafter(near, -inf)]
    return next((number for number in tried if read(number) == value), near)

"""Check of the layout's own values: those far outside the trade are slips of pen or unit."""

from __future__ import annotations

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from beltpath.checks.findings import Finding
from beltpath.checks.register import check
from beltpath.data.tables import cite, limits
from beltpath.layout.layout import Layout
from beltpath.layout.records import Pulley, Tensioner
from beltpath.solve.drive import Drive

_NOT_TOLD = " Tensions, slip reserves and hub loads are not told."


class _Value(NamedTuple):
    """A value of the layout: the key of its limit, what it is, and which pulleys it concerns."""

    key: str
    what: str
    value: float
    pulleys: tuple[str, ...] = ()


@check("plausibility")
def plausibility(drive: Drive) -> Iterator[Finding]:
    """Values far outside the trade, all of them in one caution."""
    absurd = [v for v in _values(drive.layout) if v.value > limits()[f"plausibility.{v.key}"].value]
    if not absurd:
        return
    pulleys = tuple(dict.fromkeys(name for value in absurd for name in value.pulleys))
    yield Finding(
        check="plausibility",
        level="caution",
        pulleys=pulleys,
        message=f"Far outside the trade: {'; '.join(map(_told, absurd))}. Look for a slip of the "
        f"unit or of the decimal point. Until then rely on nothing that rests on it."
        f"{_NOT_TOLD if sets_forces(drive.layout) else ''}",
        source=cite(limits()[f"plausibility.{absurd[0].key}"]),
        where=tuple(drive.centre(name) for name in pulleys),
    )


def sets_forces(layout: Layout) -> bool:
    """Whether a value far outside the trade is among those that tensions follow from."""
    return any(
        v.value > limits()[f"plausibility.{v.key}"].value
        for v in _values(layout)
        if v.key in _OF_FORCES
    )


#: Tensions follow from these.
_OF_FORCES = {
    "power",
    "torque",
    "spring_force",
    "spring_torque",
    "crank_rpm",
    "diameter",
    "friction",
    "mass_per_rib",
    "stiffness_per_rib",
    "ribs",
}


def _told(value: _Value) -> str:
    limit = limits()[f"plausibility.{value.key}"]
    unit = {"percent": " %", "1": ""}.get(limit.unit, f" {limit.unit}")
    return f"{value.what}, {round(value.value, 1):.10g}{unit} (over {limit.value:g}{unit})"


def _values(layout: Layout) -> Iterator[_Value]:
    belt, running = layout.belt, layout.running
    yield _Value("ribs", "the belt's ribs", belt.ribs)
    if belt.length is not None and belt.tolerance is not None:
        part = 100.0 * belt.tolerance / belt.length
        yield _Value("tolerance", "the tolerance on the belt's length", part)
    yield _Value("accuracy", "the accuracy of the centres", layout.accuracy)
    for pulley in layout.pulleys.values():
        yield from _of_pulley(pulley)
    yield from _apart(layout)
    if layout.tensioner is not None:
        yield from _of_spring(layout.tensioner)
    if running is None:
        return
    yield _Value("crank_rpm", "the crank's speed", max(running.crank_rpm))
    for key in ("friction_ribs", "friction_back", "mass_per_rib", "stiffness_per_rib"):
        value = getattr(running, key)
        if value is not None:
            yield _Value(key.removesuffix("_ribs").removesuffix("_back"), f"running.{key}", value)


def _of_pulley(pulley: Pulley) -> Iterator[_Value]:
    names = (pulley.name,)
    if pulley.measured.how != "around":
        yield _Value("diameter", f"the diameter of {pulley.title}", pulley.measured.value, names)
    if pulley.accuracy is not None:
        yield _Value("accuracy", f"the accuracy of {pulley.title}", pulley.accuracy, names)
    yield _Value("offset", f"the offset of {pulley.title}", abs(pulley.offset), names)
    if pulley.load is not None and pulley.load.power_kw is not None:
        yield _Value("power", f"the load of {pulley.title}", pulley.load.power_kw, names)
    if pulley.load is not None and pulley.load.torque_nm is not None:
        yield _Value("torque", f"the load of {pulley.title}", pulley.load.torque_nm, names)


def _apart(layout: Layout) -> Iterator[_Value]:
    """The distances from one pulley of the route to the next."""
    route = layout.route or ()
    for one, other in zip(route, (*route[1:], *route[:1]), strict=True):
        a, b = layout.pulleys[one], layout.pulleys[other]
        what = f"the distance from {a.title} to {b.title}"
        yield _Value("distance", what, dist(a.at, b.at), (one, other))


def _of_spring(t: Tensioner) -> Iterator[_Value]:
    if t.spring is not None:
        key = "spring_force" if t.kind == "slide" else "spring_torque"
        yield _Value(key, "the tensioner's spring", t.spring.effort, (t.pulley,))

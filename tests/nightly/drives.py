"""Random drives whose numbers are known twice: as the text of a layout, and as wheels to solve."""

from __future__ import annotations

import cmath
import random
from dataclasses import dataclass, replace
from functools import partial
from math import asin, degrees, pi

from tests.nightly.solver import Mover, Wheel, heading, moved, solved

#: Effective line to belt back, and belt height, mm: written into every layout, so that no table of
#: beltpath's is needed to solve it.
BACK, HEIGHT = 1.7, 4.9


@dataclass(frozen=True)
class Drive:
    """A layout's text, and the same drive for the solver; `stands` is where its tensioner does."""

    text: str
    wheels: list[Wheel]
    mover: Mover
    stands: float
    effort: float


@dataclass(frozen=True)
class _Pulley:
    wheel: Wheel
    size: float
    face: str
    side: str


def drive(seed: int) -> Drive:
    """The drive of that number: pulleys round a ring, some pressed in from outside, one sprung."""
    chosen = random.Random(seed)
    ring = _ring(chosen)
    pressed, depth, span, way = _pressed(chosen, ring)
    pulleys = [*ring, pressed]
    mirror = chosen.random() < 0.5
    if mirror:
        pulleys = [_mirrored(p) for p in pulleys]
        way = pi - way
    wheels = [p.wheel for p in pulleys]
    mover, lines, effort = _tensioner(chosen, pulleys[-1].wheel, way, depth, span, mirror)
    stands = mover.free + (mover.load - mover.free) * chosen.uniform(0.05, 0.95)
    length = solved(moved(wheels, mover, stands)).length
    text = _text(pulleys, lines, length, "clockwise" if mirror else "counterclockwise")
    return Drive(text, wheels, mover, stands, effort(stands))


def _ring(chosen: random.Random) -> list[_Pulley]:
    """Pulleys so far apart and so alike that the belt round them all touches each."""
    count = chosen.randint(3, 6)
    out, start = chosen.uniform(230.0, 420.0), chosen.uniform(0.0, 2.0 * pi)
    middle = complex(chosen.uniform(-200.0, 200.0), chosen.uniform(-200.0, 200.0))
    pulleys = []
    for i in range(count):
        angle = start + 2.0 * pi * i / count + chosen.uniform(-0.1, 0.1)
        smooth = i > 0 and chosen.random() < 0.25
        size = chosen.uniform(70.0, 115.0)
        radius = size / 2.0 + (HEIGHT - BACK if smooth else 0.0)
        wheel = Wheel(f"p{i}", middle + cmath.rect(out, angle), radius, True)
        pulleys.append(_Pulley(wheel, size, "smooth" if smooth else "grooved", "ribs"))
    return pulleys


def _pressed(chosen: random.Random, ring: list[_Pulley]) -> tuple[_Pulley, float, float, float]:
    """A pulley pressed into the last span from outside; how deep, the span and its heading."""
    last, first = ring[-1].wheel, ring[0].wheel
    way = heading(last, first)
    start, end = last.point(way), first.point(way)
    span = abs(end - start)
    depth, size = span * chosen.uniform(0.02, 0.045), chosen.uniform(60.0, 90.0)
    radius = size / 2.0 + BACK
    inward = cmath.rect(1.0, way + pi / 2.0)
    centre = (start + end) / 2.0 + inward * (depth - radius)
    return _Pulley(Wheel("idler", centre, radius, False), size, "smooth", "back"), depth, span, way


def _tensioner(
    chosen: random.Random, wheel: Wheel, way: float, depth: float, span: float, mirror: bool
) -> tuple[Mover, list[str], partial[float]]:
    """How the pressed pulley moves, as lines of the layout and for the solver; and its spring."""
    deeper, shallower = 0.065 * span - depth, depth - 0.008 * span
    inward = way + (-pi / 2.0 if mirror else pi / 2.0)
    if chosen.random() < 0.5:
        mover = Mover("idler", partial(_slid, wheel.centre, inward), deeper, -shallower)
        spring = ("force", chosen.uniform(150.0, 500.0), 0.0, chosen.uniform(-3.0, 3.0))
        how = [f"along = {degrees(inward) % 360.0!r}"]
    else:
        side, arm = chosen.choice([-1.0, 1.0]), chosen.uniform(80.0, 150.0)
        pivot = wheel.centre - cmath.rect(arm, inward + side * pi / 2.0)
        stands = degrees(cmath.phase(wheel.centre - pivot))
        # The arm points a quarter turn beside the way in; turning it back goes in.
        free, load = (
            stands - side * degrees(asin(deeper / arm)),
            stands + side * degrees(asin(shallower / arm)),
        )
        mover = Mover("idler", partial(_swung, pivot, arm), free, load)
        spring = ("torque", chosen.uniform(10.0, 40.0), stands, chosen.uniform(-0.3, 0.3))
        how = [f"pivot = [{pivot.real!r}, {pivot.imag!r}]"]
    kind = "slide" if spring[0] == "force" else "arm"
    lines = [
        f'kind = "{kind}"',
        *how,
        f"free = {mover.free!r}",
        f"load = {mover.load!r}",
        f"spring = {{ {spring[0]} = {spring[1]!r}, at = {spring[2]!r}, rate = {spring[3]!r} }}",
    ]
    return mover, lines, partial(_effort, kind, *spring[1:])


def _slid(centre: complex, along: float, position: float) -> complex:
    return centre + cmath.rect(position, along)


def _swung(pivot: complex, arm: float, position: float) -> complex:
    return pivot + cmath.rect(arm, position * pi / 180.0)


def _effort(kind: str, effort: float, at: float, rate: float, position: float) -> float:
    """The work in N·mm that the spring does on a unit of position there."""
    here = effort + rate * (position - at)
    return here if kind == "slide" else here * 1000.0 * pi / 180.0


def _mirrored(pulley: _Pulley) -> _Pulley:
    wheel = pulley.wheel
    centre = complex(-wheel.centre.real, wheel.centre.imag)
    return replace(
        pulley, wheel=replace(wheel, centre=centre, anticlockwise=not wheel.anticlockwise)
    )


def _text(pulleys: list[_Pulley], tensioner: list[str], length: float, sense: str) -> str:
    names = ", ".join(f'"{p.wheel.name}"' for p in pulleys)
    lines = [
        'title = "a drive of the night"',
        f'crank_turns = "{sense}"',
        f"route = [{names}]",
        "[belt]",
        'section = "PK"',
        "ribs = 6",
        f"length = {length!r}",
        f"back = {BACK}",
        f"height = {HEIGHT}",
        "[pulleys]",
    ]
    for i, p in enumerate(pulleys):
        at = f"[{p.wheel.centre.real!r}, {p.wheel.centre.imag!r}]"
        role = "crank" if i == 0 else "other"
        lines.append(
            f'{p.wheel.name} = {{ at = {at}, diameter = {p.size!r}, face = "{p.face}", '
            f'role = "{role}", side = "{p.side}" }}'
        )
    return "\n".join([*lines, "[tensioner]", 'pulley = "idler"', *tensioner]) + "\n"

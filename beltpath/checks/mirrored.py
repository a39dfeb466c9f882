"""Check mirrored: faults that go when an axis is turned round, and so have one likely cause.

Places mirrored top to bottom and left to right differ by half a turn alone. Only the angles of a
tensioner, which a person reads off the machine itself, can tell the two apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from beltpath.checks.findings import Finding
from beltpath.checks.judged import against_travel, closes
from beltpath.checks.register import afterthought, faults
from beltpath.errors import PathError
from beltpath.geometry import Point
from beltpath.layout.layout import Layout, stand_in
from beltpath.layout.records import Tensioner
from beltpath.solve.drive import Drive, solve
from beltpath.solve.path import from_crank

Axis = Literal["x", "y"]
_AXES: tuple[Axis, ...] = ("y", "x")
#: Checks that tell when a tensioner's angles and its place do not go together.
_OF_TENSIONER = ("length", "travel", "over-centre", "release", "stops")

_CAUSE: Mapping[Axis, str] = {
    "y": "y seems to be counted downwards",
    "x": "the drive seems to be measured from behind, or x counted to the left",
}


@afterthought("mirrored")
def mirrored(drive: Drive, found: Sequence[Finding]) -> Iterator[Finding]:
    """Faults that all go when the places are mirrored: y counted downwards, or seen from behind."""
    layout = drive.layout
    back = against_travel(drive)
    angles = _angles_contradict(layout, found)
    if not back and not angles and closes(drive.path):
        return
    # Someone may have turned the route round already: then only the tensioner's angles are wrong.
    tried = _reversed(drive) if angles and not back else layout
    axes = [axis for axis in _AXES if _sound(_turned_round(tried, axis, angles=False))]
    if back and not axes and _sound(_turned_round(layout, "y", angles=True)):
        axes = list(_AXES)
    if axes:
        yield Finding(
            check="mirrored",
            level="caution",
            pulleys=(),
            message=_sentence(axes, back=back or not angles),
            source="computed: the same checks on the drive with its places mirrored",
        )


def _sentence(axes: Sequence[Axis], *, back: bool) -> str:
    causes = ", or ".join(_CAUSE[axis] for axis in axes)
    signs = " or ".join(axes)
    route = "" if back else ", and turn the order of the route round"
    doubt = (
        " A route written backwards, or a wrong crank_turns, would look the same."
        if len(axes) > 1 and back
        else ""
    )
    return (
        f"Every fault here goes when the places are mirrored: {causes}. Look at the drive from the "
        f"front, with x to the right and y upwards. If so, change the sign of every {signs} in the "
        f"layout{route}.{doubt}"
    )


def _sound(layout: Layout) -> bool:
    """Whether a drive can be laid and has no fault."""
    try:
        return not any(True for _ in faults(solve(layout)))
    except PathError:
        return False


def _angles_contradict(layout: Layout, found: Sequence[Finding]) -> bool:
    """Whether an arm's pulley is where its angles cannot put it."""
    return (
        layout.tensioner is not None
        and layout.tensioner.pivot is not None
        and any(f.level == "fault" and f.check in _OF_TENSIONER for f in found)
    )


def _reversed(drive: Drive) -> Layout:
    """The layout with its route against the order in which it is written."""
    return stand_in(drive.layout, route=from_crank(drive.layout)[::-1])


def _turned_round(layout: Layout, axis: Axis, *, angles: bool) -> Layout:
    """The layout with its places mirrored, and the tensioner's angles too if they are reckoned."""
    t = layout.tensioner
    return stand_in(
        layout,
        pulleys={n: replace(p, at=_flipped(p.at, axis)) for n, p in layout.pulleys.items()},
        tensioner=None if t is None else _tensioner(t, axis, angles=angles),
    )


def _flipped(at: Point, axis: Axis) -> Point:
    x, y = at
    return (x, -y) if axis == "y" else (-x, y)


def _tensioner(t: Tensioner, axis: Axis, *, angles: bool) -> Tensioner:
    moved = replace(t, pivot=None if t.pivot is None else _flipped(t.pivot, axis))
    if not angles:
        return moved
    if t.along is not None:
        return replace(moved, along=-t.along)
    spring = t.spring
    return replace(
        moved,
        free=-t.free,
        load=-t.load,
        window=None if t.window is None else (-t.window[1], -t.window[0]),
        spring=None if spring is None else replace(spring, at=-spring.at, rate=-spring.rate),
    )

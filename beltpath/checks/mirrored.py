"""Check mirrored: faults that go when an axis is turned round, and so have one likely cause.

Places mirrored top to bottom and left to right differ by half a turn alone. Only the angles of a
tensioner, which a person reads off the machine itself, can tell the two apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from beltpath.checks.registry import afterthought, faults
from beltpath.drive import Drive, solve
from beltpath.errors import PathError
from beltpath.findings import Finding
from beltpath.geometry import Point
from beltpath.layout import Layout, Tensioner, stand_in

Axis = Literal["x", "y"]

_CAUSE: Mapping[Axis, str] = {
    "y": "y seems to be counted downwards",
    "x": "the drive seems to be measured from behind, or x counted to the left",
}


@afterthought("mirrored")
def mirrored(drive: Drive, found: Sequence[Finding]) -> Iterator[Finding]:
    """Faults that all go when the places are mirrored: y counted downwards, or seen from behind."""
    if not any(finding.level == "fault" for finding in found):
        return
    axes = [axis for axis in ("y", "x") if _sound(_turned_round(drive.layout, axis, angles=False))]
    if not axes and _sound(_turned_round(drive.layout, "y", angles=True)):
        axes = ["y", "x"]
    if axes:
        yield Finding(
            check="mirrored",
            level="caution",
            pulleys=(),
            message=_sentence(axes),
            source="computed: the same checks on the drive with its places mirrored",
        )


def _sentence(axes: Sequence[Axis]) -> str:
    causes = ", or ".join(_CAUSE[axis] for axis in axes)
    signs = " or ".join(axes)
    doubt = " A route written backwards would look the same." if len(axes) > 1 else ""
    return (
        f"Every fault here goes when the places are mirrored: {causes}. Look at the drive from the "
        f"front, with x to the right and y upwards. If so, change the sign of every {signs} in the "
        f"layout.{doubt}"
    )


def _sound(layout: Layout) -> bool:
    """Whether a drive can be laid and has no fault."""
    try:
        return not any(True for _ in faults(solve(layout)))
    except PathError:
        return False


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

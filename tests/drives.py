"""Small drives for tests, each said in a few words: the text of a layout file comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from beltpath.data.sections import SectionName
from beltpath.geometry import Point
from tests.strategies import Data, toml_of


def drive(
    pulleys: Mapping[str, Data],
    *,
    section: SectionName = "PK",
    ribs: int | None = 4,
    belt: Mapping[str, Any] = {},
    **top: Any,
) -> str:
    """A layout file. The route is the pulleys in their order, unless `route` says otherwise."""
    belted = {"section": section, **({} if ribs is None else {"ribs": ribs}), **belt}
    plain = {"title": "A drive", "route": [*pulleys], **top}
    return toml_of({**plain, "belt": belted, "pulleys": dict(pulleys)})


def grooved(x: float, y: float, diameter: float, role: str = "pump", **more: Any) -> Data:
    """A grooved pulley at a place, with its effective diameter, in mm."""
    return {"at": [x, y], "diameter": diameter, "face": "grooved", "role": role, **more}


def smooth(x: float, y: float, diameter: float, role: str = "idler", **more: Any) -> Data:
    """A smooth pulley at a place, with its own diameter, in mm."""
    return {"at": [x, y], "diameter": diameter, "face": "smooth", "role": role, **more}


def arm(pulley: str, pivot: Point, free: float, load: float, **more: Any) -> Data:
    """A tensioner on an arm: its pivot in mm, its stops in degrees."""
    return {"pulley": pulley, "kind": "arm", "pivot": [*pivot], "free": free, "load": load, **more}


def slide(pulley: str, along: float, free: float, load: float, **more: Any) -> Data:
    """A tensioner on a slide: its direction in degrees, its stops in mm."""
    return {"pulley": pulley, "kind": "slide", "along": along, "free": free, "load": load, **more}

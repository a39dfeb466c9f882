"""The checks, one file a family; importing this package registers them all, in this order."""

from beltpath.checks import (
    facing,
    fitting,
    load,
    look_alike,
    measured,
    mirrored,
    plausible,
    running,
    running_room,
    sizes,
    tension,
)
from beltpath.checks.registry import names, run

__all__ = [
    "facing",
    "fitting",
    "load",
    "look_alike",
    "measured",
    "mirrored",
    "names",
    "plausible",
    "run",
    "running",
    "running_room",
    "sizes",
    "tension",
]

"""The checks, one file a family; importing this package registers them all, in this order."""

from beltpath.checks import (
    facing,
    fitting,
    look_alike,
    mirrored,
    running,
    running_room,
    sizes,
    tension,
)
from beltpath.checks.registry import names, run

__all__ = [
    "facing",
    "fitting",
    "look_alike",
    "mirrored",
    "names",
    "run",
    "running",
    "running_room",
    "sizes",
    "tension",
]

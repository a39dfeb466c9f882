"""The checks, one file a family; importing this package registers them all, in this order."""

from beltpath.checks import clearance as running_room
from beltpath.checks import contact as facing
from beltpath.checks import fitting, load, look_alike, measured, mirrored, plausible, running, sizes
from beltpath.checks import tensioner as tension
from beltpath.checks.register import names, run

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

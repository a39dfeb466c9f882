"""The checks, one file a family; importing this package registers them all, in this order."""

from beltpath.checks import facing, running, running_room, sizes
from beltpath.checks.registry import names, run

__all__ = ["facing", "names", "run", "running", "running_room", "sizes"]

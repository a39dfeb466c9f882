"""Old name of `beltpath.layout.slips`."""

from beltpath.layout.slips import *  # noqa: F403

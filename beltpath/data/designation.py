"""Old name of `beltpath.layout.designation`."""

from beltpath.layout.designation import *  # noqa: F403

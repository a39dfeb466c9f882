"""Old name of `beltpath.layout.toml`."""

from beltpath.layout.toml import *  # noqa: F403

"""Old name of `beltpath.layout.toml`."""

from beltpath.layout.toml import spare, write

__all__ = ["spare", "write"]

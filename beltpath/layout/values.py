"""Old name of what `beltpath.layout.keys` holds."""

from beltpath.layout.keys import MM_PER_INCH

__all__ = ["MM_PER_INCH"]

"""The commented layout that ``beltpath new`` writes: a sound, invented drive to change."""

from __future__ import annotations

from beltpath.data.tables import read_data
from beltpath.layout.keys import Units


def starter(units: Units = "mm") -> str:
    """The text of a starter layout whose lengths are in `units`."""
    return read_data(f"starter-{units}.toml")

"""The commented layout that ``beltpath new`` writes: a sound, invented drive to change."""

from __future__ import annotations

from importlib.resources import files

from beltpath.layout import Units


def starter(units: Units = "mm") -> str:
    """The text of a starter layout whose lengths are in `units`."""
    source = files("beltpath").joinpath("data", f"starter-{units}.toml")
    return source.read_text(encoding="utf-8")

"""One result of each call from Python, from the demo layouts."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import beltpath

LAYOUTS = Path(__file__).parents[2] / "layouts"
ORCHARD = LAYOUTS / "orchard-sprayer.toml"
PRESS = LAYOUTS / "found" / "hay-press.toml"
TAPE = LAYOUTS / "measure" / "sprayer-tape.toml"
SHELF = LAYOUTS / "shelf.csv"


@cache
def results() -> tuple[Any, ...]:
    """A Study, a Sized, a Search, a Comparison, a Measurement."""
    layout = beltpath.read(ORCHARD)
    return (
        beltpath.study(layout),
        beltpath.size(layout, "6PK1877", catalogue=SHELF),
        beltpath.routes(beltpath.read(PRESS)),
        beltpath.compare(layout, beltpath.what_if(layout, {"crank.diameter": 150})),
        beltpath.measure(TAPE),
    )

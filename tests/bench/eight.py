"""An invented eight-pulley drive with two back-side idlers, for benchmarks and laws."""

from __future__ import annotations

from beltpath import parse
from beltpath.layout.layout import Layout

EIGHT = """\
title = "Eight pulleys"
accuracy = 1.0
route = [
    "crank", "low-idler", "compressor", "alternator",
    "high-idler", "steering", "water", "tensioner",
]

[belt]
section = "PK"
ribs = 6

[pulleys]
crank      = { at = [0, 0],      diameter = 165,    face = "grooved", role = "crank" }
low-idler  = { at = [-120, 60],  diameter = 75,     face = "smooth",  role = "idler" }
compressor = { at = [-230, -20], diameter = 120,    face = "grooved", role = "compressor" }
alternator = { at = [-220, 250], over_balls = 60,   face = "grooved", role = "alternator" }
high-idler = { at = [-110, 190], around = 240,      face = "smooth",  role = "idler" }
steering   = { at = [30, 300],   outside = 140,     face = "grooved", role = "steering-pump" }
water      = { at = [200, 190],  diameter = 130,    face = "grooved", role = "water-pump" }
tensioner  = { at = [120, 75],   diameter = 76,     face = "smooth",  role = "tensioner" }

[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = [190, 60]
free = 150
load = 190
"""


def eight() -> Layout:
    """The drive as a layout."""
    return parse(EIGHT, name="eight")

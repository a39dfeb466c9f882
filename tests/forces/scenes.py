# ruff: noqa: E501 - a pulley of a layout file is one line
"""Invented drives for the tests of forces, as texts of layout files, and how to vary them."""

from __future__ import annotations

from beltpath.layout.reader import parse
from beltpath.solve.drive import Drive, solve
from beltpath.solve.forces import Forces, Unknown, forces, forces_or_reason

#: A sprung arm on the slack side, a load of constant power, one of constant torque. No findings.
CIDER_MILL = """
title = "Cider mill, press end"
crank_turns = "clockwise"
route = ["crank", "tensioner", "alternator", "idler", "pump"]

[belt]
section = "PK"
ribs = 6

[pulleys]
crank      = { at = [0, 0],      diameter = 150, face = "grooved", role = "crank" }
tensioner  = { at = [-105, 125],   diameter = 95, face = "smooth", role = "tensioner" }
alternator = { at = [-170, 290], diameter = 60, face = "grooved", role = "alternator", max_rpm = 18000, load = { power_kw = 2.2 } }
idler      = { at = [0, 220],    diameter = 95, face = "smooth", role = "idler" }
pump       = { at = [125, 165],  diameter = 130, face = "grooved", role = "pump", load = { torque_nm = 12 } }

[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = [-112, 215]
free = -55
load = -110
spring = { torque = 34, at = -80, rate = -0.2 }

[running]
crank_rpm = [800, 3000, 6000]
"""

#: Two equal pulleys, the driven one swung on a bracket and bolted; tension measured by hand.
LATHE = """
title = "Pattern shop lathe"
crank_turns = "clockwise"
route = ["crank", "spindle"]

[belt]
section = "PK"
ribs = 4

[pulleys]
crank   = { at = [0, 0],   diameter = 100, face = "grooved", role = "crank" }
spindle = { at = [0, 300], diameter = 100, face = "grooved", role = "other", load = { torque_nm = 10.4 } }

[tensioner]
pulley = "spindle"
kind = "swing"
pivot = [200, 300]
free = 170
load = 190

[running]
crank_rpm = [1200]
tension = 400
"""

#: A stretch-fit belt between fixed centres.
WASHER = """
title = "Felt washer"
route = ["crank", "drum"]

[belt]
section = "PK"
ribs = 3
length = 1160
tolerance = 4
elastic = true

[pulleys]
crank = { at = [0, 0],   diameter = 80,  face = "grooved", role = "crank" }
drum  = { at = [0, 400], diameter = 160, face = "grooved", role = "other", load = { torque_nm = 6 } }

[running]
crank_rpm = [500, 1500]
"""

#: A sprung slide whose pulley is the loaded one.
SAW = """
title = "Firewood saw"
crank_turns = "counterclockwise"
route = ["crank", "blade", "idler"]

[belt]
section = "PK"
ribs = 5

[pulleys]
crank = { at = [0, 0],     diameter = 120, face = "grooved", role = "crank" }
blade = { at = [310, 40],  diameter = 90,  face = "grooved", role = "other", load = { torque_nm = 9 } }
idler = { at = [150, 210], diameter = 100, face = "grooved", role = "idler" }

[tensioner]
pulley = "blade"
kind = "slide"
along = 10
free = 30
load = -30
spring = { force = 1200, at = 0, rate = -5 }

[running]
crank_rpm = [1500]
"""


def edited(text: str, *edits: tuple[str, str]) -> str:
    """The text with each (old, new) replaced; an old that is not there is a broken test."""
    for old, new in edits:
        assert old in text, f"{old!r} is not in the scene"
        text = text.replace(old, new)
    return text


def drive_of(text: str, *edits: tuple[str, str]) -> Drive:
    """The solved drive of a scene with edits."""
    return solve(parse(edited(text, *edits)))


def forces_of(text: str, *edits: tuple[str, str]) -> Forces:
    """The forces of a scene with edits; fails the test when there are none."""
    found = forces(drive_of(text, *edits))
    assert found is not None
    return found


def reason_of(text: str, *edits: tuple[str, str]) -> str:
    """Why the forces of a scene with edits cannot be told."""
    found = forces_or_reason(drive_of(text, *edits))
    assert isinstance(found, Unknown)
    return found.reason

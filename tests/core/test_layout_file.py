"""From the text of a layout to its records: every key arrives, in millimetres."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse, schema
from beltpath.layout.records import Load, Measured, Spring
from tests.core.test_problems import ARM, BASE, SLIDE

FULL = """title = "Quarry pump"
units = "in"
crank_turns = "counterclockwise"
accuracy = 0.02
notes = "Two\\nlines"
route = ["crank", "pump", "tensioner"]

[belt]
section = "PL"
ribs = 8
length = 60
tolerance = 0.25
double_sided = true
back = 0.3
height = 0.5

[pulleys]
crank = { at = [0, 0], over_balls = 8, face = "grooved", role = "crank", grooves = 9 }
tensioner = { at = [5, 4], around = 12, face = "smooth", role = "tensioner" }
bracket = { at = [0, 12], diameter = 2, face = "smooth", role = "fan", load = { torque_nm = 1 } }

[pulleys.pump]
at = [10, 0]
outside = 6
face = "grooved"
role = "pump"
side = "ribs"
turns = "clockwise"
rim = 6.5
offset = -0.1
min_wrap = 100
max_rpm = 4000
load = { power_kw = 3 }
reach = "hard"
accuracy = 0.01
label = "Pump <1>"

[tensioner]
pulley = "tensioner"
kind = "slide"
along = 90
free = 1
load = -2
window = [0.5, -1]
spring = { force = 300, at = 0.5, rate = 254 }
lever = "15 mm hex"

[running]
crank_rpm = [800, 3000]
friction_ribs = 0.5
friction_back = 0.3
mass_per_rib = 0.024
stiffness_per_rib = 25000
"""


def near(value: object) -> Any:
    """The same number but for rounding; typed so that it may stand inside records."""
    return pytest.approx(value)


def test_every_key_arrives_in_millimetres() -> None:
    layout = parse(FULL, name="quarry")
    assert (layout.title, layout.units, layout.crank_turns) == (
        "Quarry pump",
        "in",
        "counterclockwise",
    )
    assert layout.accuracy == near(0.508)
    assert layout.notes == "Two\nlines"
    assert layout.route == ("crank", "pump", "tensioner")
    assert layout.name == "quarry"
    belt = layout.belt
    assert (belt.section.name, belt.ribs, belt.double_sided, belt.elastic) == ("PL", 8, True, False)
    assert (belt.length, belt.tolerance) == (near(1524.0), near(6.35))
    assert (belt.back, belt.height) == (near(7.62), near(12.7))
    pump = layout.pulleys["pump"]
    assert pump.at == near((254.0, 0.0))
    assert pump.measured == Measured("outside", near(152.4))
    assert (pump.face, pump.role, pump.side, pump.turns) == (
        "grooved",
        "pump",
        "ribs",
        "clockwise",
    )
    assert (pump.rim, pump.offset, pump.accuracy) == (
        near(165.1),
        near(-2.54),
        near(0.254),
    )
    assert (pump.min_wrap, pump.max_rpm, pump.reach, pump.label) == (100, 4000, "hard", "Pump <1>")
    assert pump.load == Load(power_kw=3)
    assert layout.pulleys["bracket"].load == Load(torque_nm=1)
    assert layout.pulleys["tensioner"].measured == Measured("around", near(304.8))
    assert layout.pulleys["crank"].measured == Measured("over_balls", near(203.2))
    assert layout.pulleys["crank"].grooves == 9
    assert layout.pulleys.keys() - {*(layout.route or ())} == {"bracket"}


def test_tensioner_and_running_arrive() -> None:
    layout = parse(FULL)
    t = layout.tensioner
    assert t is not None
    assert (t.pulley, t.kind, t.along, t.pivot, t.lever) == (
        "tensioner",
        "slide",
        90,
        None,
        "15 mm hex",
    )
    assert (t.free, t.load) == (near(25.4), near(-50.8))
    assert t.window == (near(-25.4), near(12.7))
    assert t.spring == Spring(effort=300, at=near(12.7), rate=near(10.0))
    run = layout.running
    assert run is not None
    assert run.crank_rpm == (800, 3000)
    assert (run.friction_ribs, run.friction_back) == (0.5, 0.3)
    assert (run.mass_per_rib, run.stiffness_per_rib) == (0.024, 25000)


def test_an_arm_keeps_its_degrees() -> None:
    text = ARM.replace('title = "Bench"', 'title = "Bench"\nunits = "in"')
    text = text.replace("[300, 0]", "[30, 0]").replace("[150, 150]", "[15, 15]")
    for size, inches in (("150", "6"), ("120", "5"), ("80", "3")):
        text = text.replace(f"diameter = {size}", f"diameter = {inches}")
    t = parse(text.replace("kind", 'release = "clockwise"\nkind')).tensioner
    assert t is not None
    assert t.pivot == near((1270.0, 3810.0))
    assert (t.free, t.load, t.window, t.release) == (-10, 30, (-5, 20), "clockwise")
    assert t.spring == Spring(effort=20, at=0, rate=0)


def test_what_the_file_leaves_out() -> None:
    layout = parse(BASE.replace("ribs = 4\n", ""))
    assert (layout.units, layout.crank_turns, layout.accuracy, layout.notes) == (
        "mm",
        "clockwise",
        1.0,
        "",
    )
    assert (layout.tensioner, layout.running, layout.name) == (None, None, "layout")
    belt = layout.belt
    assert (belt.ribs, belt.length, belt.tolerance) == (1, None, None)
    assert (belt.back, belt.height) == (2.2, 4.6)
    pulley = layout.pulleys["pump"]
    for name in ("side", "turns", "grooves", "rim", "min_wrap", "max_rpm", "load", "reach"):
        assert getattr(pulley, name) is None
    assert (pulley.offset, pulley.accuracy, pulley.title) == (0.0, None, "pump")


def test_route_may_be_left_out() -> None:
    layout = parse(BASE.replace('route = ["crank", "pump", "idler"]\n', ""))
    assert layout.route is None


def test_tolerance_comes_from_the_table_unless_given() -> None:
    belt = parse(BASE.replace("ribs = 4", "length = 1100")).belt
    assert (belt.tolerance, belt.tolerance_assumed) == (6.0, True)
    for given in (0.0, 6.0):
        text = BASE.replace("ribs = 4", f"length = 1100\ntolerance = {given}")
        belt = parse(text).belt
        assert (belt.tolerance, belt.tolerance_assumed) == (given, False)
    assert not parse(BASE).belt.tolerance_assumed


def test_stretch_fit_belt() -> None:
    assert parse(BASE.replace("ribs = 4", "elastic = true")).belt.elastic


class TestDoubleSided:
    """A double-sided belt is symmetric about its cord: back = height/2 + b_e."""

    def test_defaults(self) -> None:
        belt = parse(BASE.replace("ribs = 4", "double_sided = true")).belt
        # PK: ribs 4.6 − 2.2 = 2.4 below the effective line, cord 2.0 above it, and the same again.
        assert belt.height == near(8.8)
        assert belt.back == near(4.4 + 2.0)

    def test_height_given(self) -> None:
        belt = parse(BASE.replace("ribs = 4", "double_sided = true\nheight = 9.6")).belt
        assert (belt.height, belt.back) == (near(9.6), near(6.8))

    def test_back_given(self) -> None:
        belt = parse(BASE.replace("ribs = 4", "double_sided = true\nback = 6.0")).belt
        assert (belt.height, belt.back) == (near(8.8), near(6.0))


def test_names_may_hold_anything_that_prints() -> None:
    text = BASE.replace("idler = {", '"left <idler> & \\"co\\".ö" = {')
    text = text.replace('"idler"]', '"left <idler> & \\"co\\".ö"]')
    assert 'left <idler> & "co".ö' in parse(text).pulleys


def test_schema_names_every_field_of_the_records() -> None:
    found = schema()
    assert found["title"] == "beltpath layout file"
    told = {field.name for field in fields(Layout) if field.compare} - {"name"}
    assert set(found["properties"]) == told
    assert set(found["required"]) == {"title", "belt", "pulleys"}


def test_slide_positions_are_lengths() -> None:
    t = parse(SLIDE).tensioner
    assert t is not None
    assert (t.along, t.free, t.load) == (90, -10, 30)

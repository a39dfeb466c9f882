"""The demo inputs in layouts/measure: invented scenes with simulated readings.

    python -m tests.measure.demos        writes them again

The numbers come from `scenes` and from layouts/orchard-sprayer.toml with noise from a fixed seed:
nothing was measured on an engine, and there is no picture behind the clicked points.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from beltpath.layout import reader as layout_file
from beltpath.layout.records import rim_diameter
from tests.measure.scenes import ANGLE, SEVEN, Camera, Pair, Point, clicked

FOLDER = Path("layouts/measure")
SPRAYER = Path("layouts/orchard-sprayer.toml")

#: Which reading runs over what; those to the pivot's bolt are centre to centre.
SPRAYER_READINGS: Mapping[Pair, str] = {
    ("crank", "tensioner"): "gap",
    ("crank", "alternator"): "outside",
    ("crank", "fan"): "outside",
    ("crank", "idler"): "gap",
    ("crank", "pump"): "outside",
    ("tensioner", "alternator"): "gap",
    ("tensioner", "fan"): "gap",
    ("tensioner", "idler"): "gap",
    ("alternator", "fan"): "gap",
    ("alternator", "idler"): "gap",
    ("alternator", "pump"): "outside",
    ("fan", "idler"): "gap",
    ("fan", "pump"): "outside",
    ("idler", "pump"): "gap",
    ("bolt", "crank"): "centres",
    ("bolt", "tensioner"): "centres",
    ("bolt", "alternator"): "centres",
    ("bolt", "idler"): "centres",
}


def demos() -> dict[str, str]:
    """The text of every demo by its file name."""
    return {
        "sprayer-tape.toml": _sprayer({}, SPRAYER_NOTE),
        "sprayer-slip.toml": _sprayer({("crank", "idler"): 20.0}, SLIP_NOTE),
        "workboat-photo.toml": _workboat(np.random.default_rng(11)),
        "workboat-both.toml": _workboat(np.random.default_rng(11)) + _workboat_tapes(),
    }


def sprayer_truth() -> dict[str, Point]:
    """Where the sprayer's pulleys, and the bolt of its tensioner's arm, are."""
    layout = layout_file.parse(SPRAYER.read_text(encoding="utf-8"))
    assert layout.tensioner is not None
    assert layout.tensioner.pivot is not None
    return {name: p.at for name, p in layout.pulleys.items()} | {"bolt": layout.tensioner.pivot}


SPRAYER_NOTE = """# The orchard sprayer of layouts/orchard-sprayer.toml, measured with a tape.
# An invented scene: the readings are simulated, true distances with 1 mm of noise (1 sigma),
# rounded to half a millimetre."""

SLIP_NOTE = """# The orchard sprayer again, with one slip: crank to idler was read 20 mm too long.
# beltpath names that reading and leaves it out. Simulated like sprayer-tape.toml."""

SPRAYER_HEAD = """title = "Orchard sprayer, pump end"
units = "mm"
crank_turns = "clockwise"
accuracy = 1.0                # how well the tape is read, 1 sigma
notes = "The guard hangs on six bolts. It goes back before the engine runs."
route = ["crank", "tensioner", "alternator", "fan", "idler", "pump"]

[belt]
section = "PK"
ribs = 6
length = 1877                 # printed on the belt that came off

# As in any layout, but without `at`: that is what is to be found.
[pulleys]
crank      = { diameter = 165, face = "grooved", role = "crank", grooves = 6, rim = 172 }
tensioner  = { diameter = 90, face = "smooth", role = "tensioner" }
alternator = { over_balls = 57.0, face = "grooved", role = "alternator", max_rpm = 18000 }
fan        = { outside = 150, face = "grooved", role = "fan", turns = "clockwise" }
idler      = { around = 283, face = "smooth", role = "idler", label = "right idler" }
pump       = { diameter = 140, face = "grooved", role = "pump", grooves = 6, turns = "clockwise" }

# What is no pulley and yet is to be found: the bolt on which the tensioner's arm turns.
[points]
bolt = {}

[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = "bolt"
free = -5
load = -67
window = [-42, -10]
spring = { torque = 50, at = -29, rate = -0.25 }
lever = "16 mm square, long bar"

# A spirit level on a telephone, held along crank and pump, says 35 degrees.
[level]
from = "crank"
to = "pump"
angle = 35.0
above = "fan"                 # settles the mirror image
"""

WORKBOAT_HEAD = """# A workboat's engine, photographed with a telephone held at a slant.
# An invented scene: the points are simulated, 2 px of noise (1 sigma) on a 4000 x 3000 picture,
# a dozen round each rim. There is no picture behind them.
title = "Workboat, front of the engine"
crank_turns = "clockwise"
route = ["crank", "pump", "steering", "idler", "alternator", "tensioner", "compressor"]

[belt]
section = "PK"
ribs = 6

[pulleys]
"""


def _sprayer(slips: Mapping[Pair, float], note: str) -> str:
    layout = layout_file.parse(SPRAYER.read_text(encoding="utf-8"))
    radii = {n: rim_diameter(p, layout.belt.section) / 2.0 for n, p in layout.pulleys.items()}
    places = sprayer_truth()
    draw = np.random.default_rng(3)
    text = f"{note}\n{SPRAYER_HEAD}"
    for (start, end), over in SPRAYER_READINGS.items():
        rims = {"centres": 0.0, "outside": 1.0, "gap": -1.0}[over]
        apart = math.dist(places[start], places[end])
        if rims:
            apart += rims * (radii[start] + radii[end])
        read = round(2.0 * (draw.normal(apart, 1.0) + slips.get((start, end), 0.0))) / 2.0
        text += f'\n[[tape]]\nfrom = "{start}"\nto = "{end}"\ndistance = {read}\nover = "{over}"\n'
    return text


def _workboat(draw: np.random.Generator) -> str:
    text = WORKBOAT_HEAD
    width = max(map(len, SEVEN))
    for name, t in SEVEN.items():
        size = round(draw.normal(t.size, t.sigma), 1)
        text += f'{name:{width}} = {{ {t.how} = {size}, face = "{t.face}", role = "{t.role}" }}\n'
    text += f'\n[level]\nfrom = "crank"\nto = "alternator"\nangle = {ANGLE:.1f}\n'
    text += 'above = "pump"                # a mirrored picture would be seen\n'
    text += (
        '\n[photo]\nfile = "workboat.jpg"\nsize = [4000, 3000]\naccuracy = 2.0\n\n[photo.rims]\n'
    )
    camera = Camera(pitch=14.0, yaw=-11.0, roll=3.0, distance=680.0)
    for name, points in clicked(draw, camera, clicks=12).items():
        text += f"{name} = {[[round(x), round(y)] for x, y in points]}\n"
    return text


def _workboat_tapes() -> str:
    draw = np.random.default_rng(12)
    text = "\n# Two readings of the tape across the drive, 1 mm (1 sigma), check the photograph.\n"
    for start, end in (("crank", "steering"), ("alternator", "compressor")):
        read = round(draw.normal(math.dist(SEVEN[start].at, SEVEN[end].at), 1.0))
        text += f'[[tape]]\nfrom = "{start}"\nto = "{end}"\ndistance = {read}\nover = "centres"\n\n'
    return text.rstrip("\n") + "\n"


def main() -> None:
    """Write every demo."""
    for name, text in demos().items():
        (FOLDER / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

"""SAE J636-2019 (summary, seen): automotive V-belt pulleys 10A and 13A.

Smallest effective diameters 61 and 76, grooves of 36°, top widths 9.7 and 12.7: whole printed
digits, so equality is asked. The pitch line's place in the groove is computed in the data file
from pitch widths of 8.5 and 11 mm (ISO 2790, from memory): worked out again here, to the 0.01 mm
it is given.
"""

from __future__ import annotations

from math import radians, tan

import pytest

from beltpath.data.sections import SectionName, section


@pytest.mark.parametrize(("name", "smallest", "top_width"), [("AV10", 61, 9.7), ("AV13", 76, 12.7)])
def test_printed_values(name: SectionName, smallest: float, top_width: float) -> None:
    one = section(name)
    assert one.smallest_effective == smallest
    assert one.number("groove_angle") == 36
    assert one.number("top_width") == top_width
    assert not one.ribbed
    assert one.over_balls_excess is None


@pytest.mark.parametrize(
    ("name", "top_width", "pitch_width"), [("AV10", 9.7, 8.5), ("AV13", 12.7, 11.0)]
)
def test_pitch_line_lies_inside_the_effective_line(
    name: SectionName, top_width: float, pitch_width: float
) -> None:
    depth = (top_width - pitch_width) / 2 / tan(radians(18))
    assert section(name).b_e == pytest.approx(-depth, abs=0.006)

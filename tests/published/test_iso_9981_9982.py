"""ISO 9981 and ISO 9982: section values, and the measuring fixture of two equal pulleys.

Status by value as in the table below ("seen" from summaries and glossaries, "memory" where the page
was not seen). Whole printed digits are compared, so equality is asked. The fixture's L_e = U_e + 2C
is exact. The tip radii are from memory; with them the groove's own geometry must put the groove
tips on the effective diameter, as the data file claims, to 0.01 mm (the last printed digit of
K − d_e).
"""

from __future__ import annotations

from math import pi, radians, sin, tan

import pytest

from beltpath.data.sections import SectionName, section, sections
from beltpath.solve.path import Disc, ring

# pitch, groove angle, ball, K − d_e, b_e, smallest d_e, fixture U_e, force per rib.
PRINTED: dict[SectionName, tuple[float, ...]] = {
    "PH": (1.60, 40, 1.0, 0.11, 0.8, 13, 100, 30),  # pitch seen, the rest memory
    "PJ": (2.34, 40, 1.5, 0.23, 1.2, 20, 100, 50),  # pitch seen, the rest memory
    "PK": (3.56, 40, 2.5, 0.99, 2.0, 45, 300, 100),  # fixture and force memory, the rest seen
    "PL": (4.70, 40, 3.5, 2.36, 3.0, 75, 500, 200),  # pitch seen, the rest memory
    "PM": (9.40, 40, 7.0, 4.53, 4.0, 180, 800, 450),  # pitch seen, the rest memory
}
QUANTITIES = (
    "pitch",
    "groove_angle",
    "ball",
    "over_balls_excess",
    "b_e",
    "smallest_effective",
    "fixture",
    "measuring_force_per_rib",
)
# From memory: the tip radius r_t of ISO 9982, mm.
TIP_RADIUS: dict[SectionName, float] = {"PH": 0.15, "PJ": 0.20, "PL": 0.40, "PM": 0.75}
RIBBED: list[SectionName] = ["PH", "PJ", "PK", "PL", "PM"]


@pytest.mark.parametrize("name", RIBBED)
def test_data_file_holds_the_printed_values(name: SectionName) -> None:
    found = tuple(section(name).number(quantity) for quantity in QUANTITIES)
    assert found == PRINTED[name]


def test_attributes_are_the_rows_of_the_same_name() -> None:
    for name in RIBBED:
        one = section(name)
        assert (one.over_balls_excess, one.b_e, one.smallest_effective) == (
            PRINTED[name][3],
            PRINTED[name][4],
            PRINTED[name][5],
        )
        assert one.ribbed


def test_every_row_says_where_it_comes_from() -> None:
    for one in sections().values():
        for quantity, row in one.sources.items():
            assert row.status in {"published", "computed", "common practice", "from memory"}
            assert len(row.source) > 5, (one.name, quantity)
            assert row.unit in {"mm", "deg", "N"}


def test_a_quantity_that_is_not_there_is_none() -> None:
    assert section("AV10").number("ball") is None


@pytest.mark.parametrize("name", sorted(TIP_RADIUS))
def test_groove_tips_lie_on_the_effective_diameter(name: SectionName) -> None:
    pitch, angle, ball, excess = PRINTED[name][:4]
    half = radians(angle / 2)
    apex_less_over_balls = pitch / tan(half) - ball / sin(half) - ball
    rounding = 2 * TIP_RADIUS[name] * (1 / sin(half) - 1)
    tip_less_effective = apex_less_over_balls - rounding + excess
    assert tip_less_effective == pytest.approx(section(name).tip_excess, abs=0.01)


@pytest.mark.parametrize("name", RIBBED)
def test_fixture_length_is_its_circumference_and_twice_its_centres(name: SectionName) -> None:
    around = PRINTED[name][6]
    radius = around / (2 * pi)
    laid = ring([Disc("fixed", (0.0, 0.0), radius, 1), Disc("moving", (600.0, 0.0), radius, 1)])
    assert laid.length == pytest.approx(around + 2 * 600.0, rel=1e-12)


def test_fixture_for_a_pk_belt_of_1500() -> None:
    """ISO 9981, from memory: U_e 300, so C 600; d_e 95.493, over balls 96.483 (three decimals)."""
    effective = 300.0 / pi
    assert effective == pytest.approx(95.493, abs=5e-4)
    assert effective + (section("PK").over_balls_excess or 0.0) == pytest.approx(96.483, abs=5e-4)
    laid = ring([Disc("a", (0, 0), effective / 2, 1), Disc("b", (0, 600), effective / 2, 1)])
    assert laid.length == pytest.approx(1500.0, rel=1e-12)

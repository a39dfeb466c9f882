"""The page of hub loads: arrows from the hubs, as long and as turned as the loads are."""

from __future__ import annotations

from math import cos, hypot, radians, sin

import pytest

from beltpath.cards import Options, card
from beltpath.cards.hub_loads import LONGEST, hardest
from beltpath.cards.scene import Curve
from tests.card.scenes import group, studied

DEMO = "orchard-sprayer"


def shafts(options: Options) -> list[tuple[float, float]]:
    """The arrows' shafts as vectors on paper, in route order."""
    page = card(studied(DEMO), options).pages[-1]
    return [
        (item.pieces[0].end[0] - item.start[0], item.pieces[0].end[1] - item.start[1])
        for item in group(page, "loads").items
        if isinstance(item, Curve) and item.pen.stroke == "accent"
    ]


@pytest.mark.parametrize(("mirrored", "turned"), [(False, 0.0), (True, 0.0), (False, 90.0)])
def test_arrows_point_and_scale_as_the_loads_do(mirrored: bool, turned: float) -> None:
    at = hardest(studied(DEMO))
    assert at is not None
    greatest = max(c.hub_load for c in at.contacts)
    drawn = shafts(Options(loads=True, mirrored=mirrored, turned=turned))
    assert len(drawn) == len(at.contacts)
    for (x, y), force in zip(drawn, at.contacts, strict=True):
        # The shaft ends 1 mm before the tip.
        assert hypot(x, y) == pytest.approx(LONGEST * force.hub_load / greatest - 1.0, abs=1e-6)
        angle = 180.0 - force.hub_direction if mirrored else force.hub_direction
        way = radians(angle + turned)
        assert (x / hypot(x, y), -y / hypot(x, y)) == pytest.approx((cos(way), sin(way)))


def test_the_hardest_speed_is_shown_with_every_load() -> None:
    study = studied(DEMO)
    at = hardest(study)
    assert at is not None
    assert study.forces is not None
    every = [c.hub_load for speed in study.forces.high for c in speed.contacts]
    assert max(c.hub_load for c in at.contacts) == max(every)
    text = card(study, Options(loads=True)).svg_pages[-1]
    for force in at.contacts:
        assert f">{force.hub_load:.0f}<" in text


def test_everything_lies_inside_the_printable_box() -> None:
    for paper in ("a5", "a6"):
        page = card(studied(DEMO), Options(loads=True, paper=paper)).pages[-1]
        for name in ("loads-head", "loads", "loads-table"):
            assert page.paper.printable.holds(group(page, name).box, slack=0.3)


def test_without_known_forces_there_is_no_such_page() -> None:
    study = studied("water-wheel")
    assert study.forces is None
    assert len(card(study, Options(loads=True)).pages) == len(card(study).pages)


def test_it_is_drawn_on_request_only() -> None:
    study = studied(DEMO)
    assert len(card(study, Options(loads=True)).pages) == len(card(study).pages) + 1

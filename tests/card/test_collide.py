"""The collision tables agree with shapely, on random boxes, discs and segments."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from beltpath.cards.collide import (
    Bools,
    Floats,
    boxes_overlap,
    boxes_touch_discs,
    segments_cross_boxes,
    segments_near,
    segments_touch_discs,
    widened,
)

COUNT = 60
#: Shapes that come nearer to touching than this (mm) may be told either way.
HAIR = 1e-9


@pytest.fixture
def dice() -> np.random.Generator:
    """The same random numbers every time."""
    return np.random.default_rng(20260)


def boxes(dice: np.random.Generator) -> Floats:
    low = dice.uniform(0.0, 60.0, (COUNT, 2))
    return np.hstack([low, low + dice.uniform(0.5, 25.0, (COUNT, 2))])


def segments(dice: np.random.Generator) -> Floats:
    made: Floats = dice.uniform(0.0, 60.0, (COUNT, 2, 2))
    made[0, 1] = made[0, 0]
    made[1, 1, 0] = made[1, 0, 0]
    made[2, 1, 1] = made[2, 0, 1]
    return made


def table(one: list[shapely.Geometry], other: list[shapely.Geometry]) -> Floats:
    """Distances of all pairs."""
    found: Floats = np.array([[a.distance(b) for b in other] for a in one])
    return found


def agrees(found: Bools, near: Bools, unsure: Bools) -> None:
    """The table is that of shapely wherever shapely is sure, and tells both kinds."""
    assert found.any()
    assert not found.all()
    assert np.array_equal(found[~unsure], near[~unsure])


def test_boxes_overlap(dice: np.random.Generator) -> None:
    a, b = boxes(dice), boxes(dice)
    areas = np.array([[shapely.box(*p).intersection(shapely.box(*q)).area for q in b] for p in a])
    agrees(boxes_overlap(a, b), areas > 0.0, np.zeros_like(areas, dtype=bool))


def test_boxes_that_only_touch_do_not_overlap() -> None:
    a = np.array([[0.0, 0.0, 1.0, 1.0]])
    assert not boxes_overlap(a, np.array([[1.0, 0.0, 2.0, 1.0]])).any()


def test_boxes_touch_discs(dice: np.random.Generator) -> None:
    a = boxes(dice)
    centres, radii = dice.uniform(0.0, 80.0, (COUNT, 2)), dice.uniform(0.5, 15.0, COUNT)
    away = table([shapely.box(*p) for p in a], [shapely.Point(c) for c in centres])
    off = away - radii
    agrees(boxes_touch_discs(a, centres, radii), off < 0.0, np.abs(off) < HAIR)


def test_segments_touch_discs(dice: np.random.Generator) -> None:
    a = segments(dice)
    centres, radii = dice.uniform(0.0, 60.0, (COUNT, 2)), dice.uniform(0.5, 15.0, COUNT)
    away = table([shapely.LineString(s) for s in a], [shapely.Point(c) for c in centres])
    off = away - radii
    agrees(segments_touch_discs(a, centres, radii), off < 0.0, np.abs(off) < HAIR)


def test_segments_cross_boxes(dice: np.random.Generator) -> None:
    a, b = segments(dice), boxes(dice)
    away = table([shapely.LineString(s) for s in a], [shapely.box(*q) for q in b])
    agrees(segments_cross_boxes(a, b), away == 0.0, (away > 0.0) & (away < HAIR))


@pytest.mark.parametrize("gap", [0.0, 0.7, 5.0])
def test_segments_near(dice: np.random.Generator, gap: float) -> None:
    a, b = segments(dice), segments(dice)
    away = table([shapely.LineString(s) for s in a], [shapely.LineString(s) for s in b])
    near = (away == 0.0) | (away < gap)
    agrees(segments_near(a, b, gap), near, np.abs(away - gap) < HAIR)


def test_widened() -> None:
    assert widened(np.array([[1.0, 2.0, 3.0, 4.0]]), 0.5).tolist() == [[0.5, 1.5, 3.5, 4.5]]

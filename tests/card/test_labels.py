"""The labelling engine on grounds made up for it: what it places keeps off everything."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import hypot

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from beltpath.cards.labels import AIR, Ground, Placed, Request, Text, place
from beltpath.cards.paper import Box
from beltpath.cards.text import LINE
from beltpath.geometry import Point

#: A scene takes a tenth of a second.
few = settings(max_examples=10)
AREA = Box(x=0.0, y=0.0, width=120.0, height=90.0)
NOTHING = shapely.Polygon()


def text(*lines: str) -> Text:
    return Text(lines=lines, size=3.2)


def ground(
    discs: dict[str, tuple[Point, float]] | None = None,
    *,
    belt: shapely.Geometry = NOTHING,
    area: Box = AREA,
    shapes: dict[str, shapely.Geometry] | None = None,
) -> Ground:
    return Ground(area=area, belt=belt, discs=discs or {}, shapes=shapes or {})


def named(name: str, at: Point, reach: float, *, inside: bool = False) -> Request:
    return Request(
        key=name,
        text=text(name),
        target=at,
        reach=reach,
        inside=reach * 0.62 - 0.6 if inside else None,
        owner=name,
        short=text("1"),
    )


def placed(requests: Sequence[Request], where: Ground) -> tuple[Placed, ...]:
    found = place(requests, where)
    assert found is not None
    return found


def shape(label: Placed) -> shapely.Polygon:
    return shapely.box(label.box.x, label.box.y, label.box.right, label.box.bottom)


@st.composite
def scenes(draw: DrawFn) -> tuple[list[Request], Ground]:
    """Two to six discs in cells of 40 mm, a belt through some of the room between them."""
    cells = draw(st.permutations(range(6)))[: draw(st.integers(2, 6))]
    discs: dict[str, tuple[Point, float]] = {}
    for cell in cells:
        x = 20.0 + 40.0 * (cell % 3) + draw(st.floats(-5.0, 5.0))
        y = 22.0 + 44.0 * (cell // 3) + draw(st.floats(-5.0, 5.0))
        discs[f"pulley {cell}"] = ((x, y), draw(st.floats(1.0, 12.0)))
    centres = [at for at, _ in discs.values()]
    belt = shapely.LineString(centres).buffer(1.25)
    requests = [named(name, at, radius, inside=True) for name, (at, radius) in discs.items()]
    return requests, ground(discs, belt=belt)


class TestPlacedLabels:
    """Labels keep off labels, belt, foreign discs and the area's edge; leaders too."""

    @few
    @given(scenes())
    def test_they_keep_off_everything(self, scene: tuple[list[Request], Ground]) -> None:
        requests, where = scene
        found = place(requests, where)
        if found is None:
            return
        assert [label.request.key for label in found] == [request.key for request in requests]
        for one, other in combinations(found, 2):
            assert shape(one).distance(shape(other)) > 0.0
            if one.leader is not None and other.leader is not None:
                lines = shapely.LineString(one.leader), shapely.LineString(other.leader)
                assert lines[0].distance(lines[1]) > 0.0
        for label in found:
            assert where.area.holds(label.box)
            assert not shape(label).intersects(where.belt)
            for name, (at, radius) in where.discs.items():
                disc = shapely.Point(at).buffer(radius, quad_segs=32)
                if name == label.request.owner and label.leader is None:
                    assert disc.covers(shape(label))
                else:
                    assert not disc.intersects(shape(label))
                if label.leader is not None and name != label.request.owner:
                    assert not disc.intersects(shapely.LineString(label.leader))

    @few
    @given(scenes())
    def test_the_same_scene_gives_the_same_places(
        self, scene: tuple[list[Request], Ground]
    ) -> None:
        assert place(*scene) == place(*scene)


class TestOneLabel:
    def test_it_lies_inside_its_disc_where_there_is_room(self) -> None:
        [label] = placed([named("fan", (60.0, 45.0), 20.0, inside=True)], ground())
        assert label.leader is None
        assert label.box.centre == pytest.approx((60.0, 45.0))

    def test_it_goes_outside_when_a_belt_runs_across_its_disc(self) -> None:
        """As on a drive that failed: the belt of a crossed loop over a pulley."""
        discs = {"fan": ((60.0, 45.0), 20.0)}
        belt = shapely.LineString([(0.0, 45.0), (120.0, 45.0)]).buffer(1.25)
        request = named("fan", (60.0, 45.0), 20.0, inside=True)
        [label] = placed([request], ground(discs, belt=belt))
        assert label.leader is not None
        assert not shape(label).intersects(belt)

    def test_it_goes_outside_when_it_may_not_lie_inside(self) -> None:
        discs = {"fan": ((60.0, 45.0), 20.0)}
        [label] = placed([named("fan", (60.0, 45.0), 20.0)], ground(discs))
        assert label.leader is not None
        start, end = label.leader
        assert hypot(end[0] - 60.0, end[1] - 45.0) == pytest.approx(20.0)
        assert shapely.Point(start).distance(shape(label)) < 1.0

    def test_straight_to_the_side_is_best(self) -> None:
        discs = {"fan": ((60.0, 45.0), 8.0)}
        [label] = placed([named("fan", (60.0, 45.0), 8.0)], ground(discs))
        assert label.box.centre[1] == pytest.approx(45.0)

    def test_a_leader_avoids_the_belt_where_it_can(self) -> None:
        """The belt stands to the right and to the left, so the label goes above or below."""
        discs = {"fan": ((60.0, 45.0), 8.0)}
        belt = shapely.MultiLineString(
            [[(70.0, 0.0), (70.0, 90.0)], [(50.0, 0.0), (50.0, 90.0)]]
        ).buffer(1.0)
        [label] = placed([named("fan", (60.0, 45.0), 8.0)], ground(discs, belt=belt))
        assert label.leader is not None
        assert not shapely.LineString(label.leader).intersects(belt)
        assert abs(label.box.centre[1] - 45.0) > 8.0

    def test_a_leader_crosses_the_belt_where_it_must(self) -> None:
        discs = {"fan": ((60.0, 45.0), 4.0)}
        belt = shapely.Point(60.0, 45.0).buffer(6.0).difference(shapely.Point(60.0, 45.0).buffer(5))
        [label] = placed([named("fan", (60.0, 45.0), 4.0)], ground(discs, belt=belt))
        assert label.leader is not None
        assert shapely.LineString(label.leader).intersects(belt)
        assert not shape(label).intersects(belt)

    def test_it_keeps_off_other_shapes(self) -> None:
        wall = shapely.box(66.0, 30.0, 120.0, 60.0)
        discs = {"fan": ((60.0, 45.0), 4.0)}
        [label] = placed([named("fan", (60.0, 45.0), 4.0)], ground(discs, shapes={"wall": wall}))
        assert shape(label).distance(wall) >= AIR
        assert label.leader is not None
        assert not shapely.LineString(label.leader).intersects(wall)

    def test_its_leader_may_enter_its_own_shape(self) -> None:
        own = shapely.box(55.0, 40.0, 65.0, 50.0)
        request = Request(
            key="stop", text=text("free"), target=(60.0, 45.0), reach=0.6, owner="travel"
        )
        [label] = placed([request], ground(shapes={"travel": own}))
        assert shape(label).distance(own) >= AIR
        assert place([request], ground(shapes={"other": own})) is None

    def test_it_falls_back_to_its_short_form(self) -> None:
        narrow = Box(x=40.0, y=38.0, width=40.0, height=14.0)
        discs = {"a name that is long": ((60.0, 45.0), 6.0)}
        [label] = placed(
            [named("a name that is long", (60.0, 45.0), 6.0)], ground(discs, area=narrow)
        )
        assert label.text == text("1")

    def test_no_room_is_told(self) -> None:
        tiny = Box(x=55.0, y=40.0, width=4.0, height=4.0)
        assert place([named("fan", (60.0, 45.0), 2.0)], ground(area=tiny)) is None


class TestSeveralLabels:
    def test_none_at_all(self) -> None:
        assert place([], ground()) == ()

    def test_two_that_want_one_place_share_the_room(self) -> None:
        at = (60.0, 45.0)
        one = Request(key="one", text=text("number one"), target=at)
        other = Request(key="other", text=text("number two"), target=at)
        # Leaders to one point would touch each other.
        assert place([one, other], ground()) is None
        found = placed(
            [one, Request(key="b", text=text("number two"), target=(60.0, 52.0))], ground()
        )
        assert shape(found[0]).distance(shape(found[1])) >= AIR - 1e-9

    def test_a_place_too_few_is_told(self) -> None:
        narrow = Box(x=59.0, y=42.0, width=13.0, height=5.0)
        one, other = (
            Request(key=key, text=text("fan"), target=(60.0, y), reach=1.0)
            for key, y in (("one", 44.0), ("other", 45.0))
        )
        assert place([one], ground(area=narrow)) is not None
        assert place([one, other], ground(area=narrow)) is None

    def test_a_label_that_finds_no_place_goes_first_in_the_next_round(self) -> None:
        """The second has a place less to choose from, is placed first, and takes the other's."""
        small = ground(area=Box(x=0.0, y=0.0, width=30.0, height=18.0))
        one, other = (
            Request(key=key, text=text("pump"), target=at)
            for key, at in (("one", (23.0, 5.0)), ("other", (25.0, 2.0)))
        )
        alone = placed([other], small)
        both = placed([one, other], small)
        assert shape(both[0]).distance(shape(both[1])) >= AIR - 1e-9
        # The second had to leave the place that it would have taken.
        assert both[1].box != alone[0].box

    def test_each_label_has_the_nearest_place_that_the_others_leave(self) -> None:
        discs = {f"p{i}": ((12.0 + 9.0 * i, 45.0 + 5.0 * (i % 2)), 3.0) for i in range(9)}
        requests = [named(n, at, r) for n, (at, r) in discs.items()]
        found = placed(requests, ground(discs))
        for one, other in combinations(found, 2):
            assert shape(one).distance(shape(other)) >= AIR - 1e-9
        for label, request in zip(found, requests, strict=True):
            others = [x for x in found if x is not label]
            room = ground(discs, shapes={x.request.key: shape(x) for x in others})
            [alone] = placed([request], room)
            assert leader_length(label) <= leader_length(alone) + 2.5


def leader_length(label: Placed) -> float:
    if label.leader is None:
        return 0.0
    (x, y), (u, v) = label.leader
    return hypot(u - x, v - y)


class TestText:
    def test_lines_stand_under_one_another(self) -> None:
        one, two = text("pump"), text("pump", "of the fan")
        assert two.width > one.width
        assert two.height == pytest.approx(one.height + LINE * 3.2)

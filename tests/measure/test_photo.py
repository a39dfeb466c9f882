"""Photographs: what comes out right, what is named as wrong, and what is refused.

Expected values come from the invented scene itself; no outside source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from beltpath.errors import LayoutError, UsageError
from beltpath.survey import Measurement, parse, solve
from tests.measure.scenes import (
    ANGLE,
    LEVEL,
    SEVEN,
    Camera,
    Truth,
    clicked,
    head,
    miss,
    photo,
    tapes,
    tilted,
)

Points = dict[str, list[list[float]]]


def drawn(**kwargs: float) -> Points:
    """The scene photographed with 2 px of noise, always the same draw."""
    draw = np.random.default_rng(5)
    return clicked(draw, tilted(draw), **kwargs)  # type: ignore[arg-type]


def farthest(found: Measurement, truths: Mapping[str, Truth] = SEVEN) -> float:
    return max(miss(name, centre.at, truths) for name, centre in found.centres.items())


class TestWithoutNoise:
    """Exact points on exact rims give the places back, wherever the camera stood."""

    @settings(max_examples=10)
    @given(
        pitch=st.floats(-25, 25),
        yaw=st.floats(-25, 25),
        roll=st.floats(-180, 180),
        clicks=st.integers(5, 9),
    )
    def test_any_camera(self, pitch: float, yaw: float, roll: float, clicks: int) -> None:
        camera = Camera(pitch=pitch, yaw=yaw, roll=roll)
        text = photo(clicked(None, camera, clicks=clicks)).replace("size =", "# size =")
        found = solve(parse(head() + text))
        assert farthest(found) < 1e-3
        assert found.rms_px == pytest.approx(0.0, abs=1e-4)
        assert found.rms_mm is None

    def test_map_from_pixels_to_mm(self) -> None:
        """The map of the answer takes the picture of a place to that place."""
        camera = Camera(pitch=11.0, yaw=-17.0)
        found = solve(parse(head() + photo(clicked(None, camera))))
        assert found.image_to_front is not None
        places = np.array([[0.0, 0.0], [100.0, 300.0], [-200.0, 50.0]])
        seen = np.column_stack([camera.pixels(places), np.ones(3)]) @ found.image_to_front.T
        assert seen[:, :2] / seen[:, 2:] == pytest.approx(places, abs=1e-3)

    def test_level_turns_the_whole(self) -> None:
        points = clicked(None, Camera(pitch=11.0, yaw=-17.0))
        turned = LEVEL.replace(repr(ANGLE), repr(ANGLE + 90.0))
        found = solve(parse(head(level=turned) + photo(points)))
        for name, centre in found.centres.items():
            x, y = SEVEN[name].at
            assert centre.at == pytest.approx((-y, x), abs=1e-3)

    def test_collinear_pulleys(self) -> None:
        """On one line, the rims themselves still tell how the camera stood."""
        at = {"crank": -150.0, "idler": 0.0, "alternator": 130.0, "pump": 330.0}
        truths = {name: SEVEN[name]._replace(at=(x + 150.0, 0.0)) for name, x in at.items()}
        points = clicked(
            None,
            Camera(pitch=15.0, yaw=20.0, aim=(250.0, 0.0), distance=800.0),
            names=at,
            truths=truths,
            clicks=12,
        )
        level = 'from = "crank", to = "alternator", angle = 0'
        found = solve(parse(head(names=at, level=level, truths=truths) + photo(points)))
        assert farthest(found, truths) < 1e-2


class TestWrongRims:
    """A rim that does not fit is named, and no layout is written until it is clicked again."""

    @pytest.mark.parametrize("part", [0.45, 0.9, 1.2])
    def test_another_edge(self, part: float) -> None:
        truths = {**SEVEN, "pump": SEVEN["pump"]._replace(radius=SEVEN["pump"].radius * part)}
        draw = np.random.default_rng(5)
        found = solve(parse(head(draw) + photo(clicked(draw, tilted(draw), truths=truths))))
        (suspect,) = found.suspects
        assert (suspect.kind, suspect.pulleys, suspect.located) == ("rim", ("pump",), False)
        across = 2 * truths["pump"].radius
        said = float(suspect.message.split("gives ")[1].split(" ")[0])
        assert said == pytest.approx(across, abs=2.0)
        assert not found.usable
        with pytest.raises(UsageError, match="the rim of pump"):
            found.layout_text()
        assert farthest(found) < 4.0

    @pytest.mark.parametrize(
        "names", [("crank", "pump"), ("idler", "tensioner"), ("crank", "compressor", "alternator")]
    )
    def test_names_mixed_up(self, names: tuple[str, ...]) -> None:
        points = drawn()
        mixed = {
            **points,
            **dict(zip(names, [points[n] for n in names[1:] + names[:1]], strict=True)),
        }
        found = solve(parse(head(np.random.default_rng(1)) + photo(mixed)))
        (suspect,) = found.suspects
        assert suspect.kind == "names"
        assert set(suspect.pulleys) == set(names)
        assert "have each other's sizes" in suspect.message
        assert not found.usable

    def test_names_mixed_up_and_another_edge(self) -> None:
        points = drawn()
        points["crank"], points["idler"] = points["idler"], points["crank"]
        truths = {"pump": SEVEN["pump"]._replace(size=180.0)}
        text = head(np.random.default_rng(1), truths={**SEVEN, **truths}) + photo(points)
        found = solve(parse(text))
        assert {name for s in found.suspects for name in s.pulleys} >= {"crank", "idler", "pump"}
        assert not found.usable

    def test_sizes_of_each_other_by_halves(self) -> None:
        """One rim seems to be another, and that one is wrong by itself: both are named as rims."""
        truths = {
            **SEVEN,
            "crank": SEVEN["crank"]._replace(radius=SEVEN["pump"].radius),
            "pump": SEVEN["pump"]._replace(radius=50.0),
        }
        draw = np.random.default_rng(5)
        found = solve(parse(head(draw) + photo(clicked(draw, tilted(draw), truths=truths))))
        assert {(s.kind, s.pulleys) for s in found.suspects} == {
            ("rim", ("crank",)),
            ("rim", ("pump",)),
        }

    def test_rims_of_one_size_are_told_beforehand(self) -> None:
        truths = {**SEVEN, "idler": SEVEN["idler"]._replace(size=70.5, radius=35.25)}
        draw = np.random.default_rng(5)
        text = head(draw, truths=truths) + photo(clicked(draw, tilted(draw), truths=truths))
        said = [line for line in solve(parse(text)).doubts if "so alike in size" in line]
        assert len(said) == 1
        assert said[0].startswith("the rims of idler and tensioner are so alike in size")
        # Readings of the tape would tell the two apart.
        text += tapes(truths=truths)
        assert not any("so alike" in line for line in solve(parse(text)).doubts)

    def test_points_that_make_no_circle(self) -> None:
        points = drawn()
        for i in (1, 4, 5, 6):
            points["steering"][i][0] += (-1) ** i * (60.0 + 25.0 * i)
        found = solve(parse(head(np.random.default_rng(1)) + photo(points)))
        (suspect,) = found.suspects
        assert suspect.pulleys == ("steering",)
        assert not suspect.located

    def test_scattered_clicks_widen_the_sigma(self) -> None:
        found = solve(parse(head(np.random.default_rng(1)) + photo(drawn(sigma=6.0))))
        assert not found.suspects
        assert found.doubts[0].startswith("the points scatter by ")
        assert "px about their rims, not by 2.0; the ± was widened" in found.doubts[0]
        told = solve(
            parse(head(np.random.default_rng(1)) + photo(drawn(sigma=6.0), "accuracy = 6"))
        )
        assert found.centres["pump"].sigma == pytest.approx(told.centres["pump"].sigma, rel=0.25)

    def test_wildly_scattered_clicks_are_refused(self) -> None:
        found = solve(
            parse(head(np.random.default_rng(1)) + photo(drawn(sigma=3.0), "accuracy = 0.3"))
        )
        assert [(s.kind, s.located) for s in found.suspects] == [("scatter", False)]
        assert "the points scatter by" in found.suspects[0].message


class TestWrongClicks:
    """A point off its rim is named and left out; the rest is used."""

    def test_one_point(self) -> None:
        points = drawn()
        points["crank"][2][0] += 80.0
        found = solve(parse(head(np.random.default_rng(1)) + photo(points)))
        (suspect,) = found.suspects
        assert (suspect.kind, suspect.pulleys, suspect.located) == ("click", ("crank",), True)
        assert suspect.message.startswith("the rim of crank: point 3 lies ")
        assert suspect.message.endswith(" px off; left out")
        assert farthest(found) < 4.0
        assert found.usable
        kept = {rim.pulley: rim.kept for rim in found.rims}
        assert kept["crank"].count(False) == 1
        assert not kept["crank"][2]

    def test_two_points(self) -> None:
        points = drawn()
        points["crank"][2][0] += 80.0
        points["crank"][6][1] -= 70.0
        found = solve(parse(head(np.random.default_rng(1)) + photo(points)))
        (suspect,) = found.suspects
        assert "point 3 lies" in suspect.message
        assert "px off and point 7 lies" in suspect.message
        assert farthest(found) < 4.0

    def test_one_of_three_cannot_be_told(self) -> None:
        points = drawn(clicks=12)
        points["idler"] = [points["idler"][i] for i in (0, 4, 8)]
        points["idler"][1][0] += 90.0
        found = solve(parse(head(np.random.default_rng(1)) + photo(points)))
        (suspect,) = found.suspects
        assert suspect.pulleys == ("idler",)
        assert not suspect.located


class TestFewRims:
    def test_three_rims(self) -> None:
        draw = np.random.default_rng(5)
        names = ("crank", "steering", "alternator")
        points = clicked(draw, tilted(draw), names=names, clicks=6)
        found = solve(parse(head(draw, names=names) + photo(points)))
        assert found.usable
        assert "in the diameter of" in found.doubts[0]
        assert "would hardly show" in found.doubts[0]
        for centre in found.centres.values():
            assert miss(centre.name, centre.at) < 4.0 * max(centre.sigma, 0.5)

    def test_too_few_points(self) -> None:
        names = ("crank", "steering", "alternator")
        points = clicked(None, Camera(pitch=5.0), names=names, clicks=3)
        with pytest.raises(LayoutError) as caught:
            solve(parse(head(names=names) + photo(points)))
        said = [str(problem) for problem in caught.value.problems]
        assert said[0].endswith("measure it from more places or click more points round the rims")
        assert said[-1].startswith("measure next, centre to centre: ")

    def test_four_points_a_rim(self) -> None:
        found = solve(parse(head(np.random.default_rng(1)) + photo(drawn(clicks=4))))
        for centre in found.centres.values():
            assert miss(centre.name, centre.at) < 4.0 * max(centre.sigma, 0.5)

    def test_points_on_a_short_arc(self) -> None:
        """Half of each rim is enough, with wider sigmas."""
        draw = np.random.default_rng(5)
        points = clicked(draw, tilted(draw), clicks=24)
        arcs = {name: rim[:13] for name, rim in points.items()}
        short = solve(parse(head(np.random.default_rng(1)) + photo(arcs)))
        whole = solve(parse(head(np.random.default_rng(1)) + photo(points)))
        assert short.centres["pump"].sigma > 1.3 * whole.centres["pump"].sigma
        for centre in short.centres.values():
            assert miss(centre.name, centre.at) < 4.0 * max(centre.sigma, 0.5)


class TestDepth:
    """Fronts nearer to the camera look larger and farther out; given, this is allowed for."""

    depths = (("pump", 12.0), ("idler", -8.0), ("compressor", 25.0))

    def keys(self) -> dict[str, str]:
        return {name: f", depth = {depth}" for name, depth in self.depths}

    @pytest.mark.parametrize("focal", ["", "focal = 26.0"])
    def test_allowed_for(self, focal: str) -> None:
        draw = np.random.default_rng(3)
        camera = Camera(pitch=9.0, yaw=-14.0, focal=26.0 / math.hypot(36, 24) * 5000.0)
        points = clicked(draw, camera, depths=dict(self.depths), clicks=12)
        found = solve(parse(head(draw, keys=self.keys()) + photo(points, focal)))
        assert not found.suspects
        assert farthest(found) < 3.0
        assert not any("one plane" in line for line in found.doubts)

    def test_exact(self) -> None:
        camera = Camera(pitch=9.0, yaw=-14.0, roll=180.0, focal=26.0 / math.hypot(36, 24) * 5000.0)
        points = clicked(None, camera, depths=dict(self.depths))
        found = solve(parse(head(keys=self.keys()) + photo(points, "focal = 26.0")))
        assert farthest(found) < 1e-2

    def test_not_told(self) -> None:
        draw = np.random.default_rng(3)
        points = clicked(draw, Camera(pitch=9.0, yaw=-14.0), depths=dict(self.depths), clicks=12)
        found = solve(parse(head(draw) + photo(points)))
        assert ("compressor",) in [s.pulleys for s in found.suspects]
        assert "stands nearer or farther than the others" in found.suspects[0].message

    def test_effect_is_told(self) -> None:
        """The stated effect of a front 10 mm nearer is what such a front really does."""
        camera = Camera(pitch=9.0, yaw=-14.0, focal=26.0 / math.hypot(36, 24) * 5000.0)
        flat = solve(parse(head() + photo(clicked(None, camera))))
        assert "taken to lie in one plane" in flat.doubts[-1]
        # 3 mm, a depth at which the misfit does not yet stand out.
        points = clicked(None, camera, depths={"alternator": 3.0})
        deep = solve(parse(head() + photo(points)))
        assert not deep.suspects
        assert farthest(deep) == pytest.approx(0.3 * flat.depth_effect["alternator"], rel=0.1)

    def test_effect_needs_the_size_of_the_picture(self) -> None:
        text = photo(clicked(None, Camera())).replace("size =", "# size =")
        found = solve(parse(head() + text))
        assert found.depth_effect == {}
        assert found.doubts[-1].endswith("give its depth, and photo.size")


class TestBoth:
    """A photograph and a tape are one problem."""

    def test_agree(self) -> None:
        draw = np.random.default_rng(5)
        text = head(draw) + photo(clicked(draw, tilted(draw)))
        alone = solve(parse(text))
        both = solve(parse(text + tapes(draw)))
        assert both.rms_mm is not None
        assert both.rms_px is not None
        assert both.centres["steering"].sigma < alone.centres["steering"].sigma
        assert farthest(both) < 3.0

    def test_slip_of_the_tape(self) -> None:
        draw = np.random.default_rng(5)
        text = head(draw) + photo(clicked(draw, tilted(draw)))
        pairs = [("crank", "pump"), ("crank", "idler"), ("pump", "idler")]
        found = solve(parse(text + tapes(draw, pairs=pairs, slips={("crank", "idler"): 25.0})))
        assert [s.pulleys for s in found.suspects] == [("crank", "idler")]
        assert found.usable
        assert farthest(found) < 4.0

    def test_a_pulley_that_only_the_tape_reaches(self) -> None:
        draw = np.random.default_rng(5)
        points = clicked(draw, tilted(draw))
        del points["tensioner"]
        text = head(draw) + photo(points)
        pairs = [("idler", "tensioner"), ("compressor", "tensioner")]
        with pytest.raises(LayoutError, match=r"pulleys.tensioner: at .* could as well lie at"):
            solve(parse(text + tapes(draw, pairs=pairs)))
        placed = text.replace('role = "tensioner"', 'role = "tensioner", above = "pump"')
        found = solve(parse(placed + tapes(draw, pairs=pairs)))
        assert farthest(found) < 5.0

    def test_the_end_of_the_level_line_only_by_tape(self) -> None:
        """A flip of that end turns all the rest, the photograph with it."""
        draw = np.random.default_rng(5)
        points = clicked(draw, tilted(draw))
        del points["alternator"]
        pairs = [("crank", "alternator"), ("steering", "alternator")]
        text = head(draw) + photo(points) + tapes(draw, pairs=pairs)
        with pytest.raises(LayoutError, match="could as well lie at"):
            solve(parse(text))


class TestMirrorImage:
    """A mirrored picture, or points that count y upwards, fit as well: only words can tell."""

    UPWARDS = photo(
        {name: [[x, 3000.0 - y] for x, y in points] for name, points in drawn().items()}
    )

    def test_it_is_a_caution_where_nothing_is_said(self) -> None:
        found = solve(parse(head() + self.UPWARDS))
        assert found.usable
        assert any("is not the mirror image" in caution for caution in found.doubts)
        assert found.centres["pump"].at[0] > 100.0

    @pytest.mark.parametrize(
        ("level", "keys"),
        [(', above = "pump"', {}), ("", {"pump": ', left_of = "crank"'})],
    )
    def test_what_is_said_refuses_it(self, level: str, keys: dict[str, str]) -> None:
        with pytest.raises(LayoutError, match="the picture is not mirrored and its y counted"):
            solve(parse(head(level=LEVEL + level, keys=keys) + self.UPWARDS))
        sound = solve(parse(head(level=LEVEL + level, keys=keys) + photo(drawn())))
        assert not any("mirror" in caution for caution in sound.doubts)


class TestDepthsFromAnyCamera:
    """Exact points with their depths told give the places back, wherever the camera stood."""

    @pytest.mark.parametrize("seed", range(6))
    def test_places_come_back(self, seed: int) -> None:
        draw = np.random.default_rng((7, seed))
        depths = {name: float(draw.integers(0, 36)) for name in SEVEN}
        camera = tilted(draw)
        keys = {name: f", depth = {depth}" for name, depth in depths.items()}
        points = clicked(None, camera, depths=depths, clicks=12)
        found = solve(parse(head(keys=keys) + photo(points)))
        assert found.usable
        assert max(miss(name, centre.at) for name, centre in found.centres.items()) < 0.5


def test_the_fit_of_a_camera_is_repeated_a_bounded_number_of_times(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With one repetition allowed the fit stops after it, although another would lower the cost."""
    monkeypatch.setattr("beltpath.survey.start.MOST_ROUNDS", 1)
    monkeypatch.setattr("beltpath.survey.start.ENOUGH", 2.0)
    text = head(keys={"pump": ", depth = 30"})
    found = solve(parse(text + photo(clicked(None, Camera(yaw=5.0), depths={"pump": 30.0}))))
    assert miss("pump", found.centres["pump"].at) < 0.5


class TestWhatCannotBeSeen:
    """Errors that no residual shows are told beforehand, with what they would do."""

    def test_points_inside_all_rims(self) -> None:
        """What the caution says a chamfer would do is what it does."""
        camera = Camera(pitch=8.0, yaw=-10.0)
        inner = {n: t._replace(radius=t.radius - 0.5) for n, t in SEVEN.items()}
        sound = solve(parse(head() + photo(clicked(None, camera, clicks=12))))
        (told,) = [c for c in sound.doubts if c.startswith("points that all lie 0.5 mm inside")]
        found = re.search(r"would move (\w+) by ([\d.]+) mm", told)
        assert found is not None
        off = solve(parse(head() + photo(clicked(None, camera, clicks=12, truths=inner))))
        assert not off.suspects
        moved = math.dist(off.centres[found[1]].at, sound.centres[found[1]].at)
        assert moved == pytest.approx(float(found[2]), rel=0.15, abs=0.1)

    def test_a_picture_that_was_cut(self) -> None:
        depths = {"pump": 30.0}
        text = head(keys={"pump": ", depth = 30"})
        found = solve(parse(text + photo(clicked(None, Camera(yaw=5.0), depths=depths))))
        assert any("of a picture that was cut" in caution for caution in found.doubts)
        flat = solve(parse(head() + photo(drawn())))
        assert not any("that was cut" in caution for caution in flat.doubts)

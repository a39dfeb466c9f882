"""What comes out: the machine-readable answer, the layout's text, the picture."""

from __future__ import annotations

import json
import tomllib
from functools import cache

import numpy as np
import pytest

from beltpath.layout import reader as layout_file
from beltpath.survey import Measurement, measurement_answer, parse, solve
from beltpath.survey.answer import NextReading
from tests.measure.scenes import (
    LEVEL,
    PAIRS,
    SEVEN,
    Camera,
    clicked,
    head,
    photo,
    tapes,
)

ABOVE = LEVEL + ', above = "pump"'
ROUTE = 'route = ["crank", "pump", "steering", "idler", "alternator", "tensioner", "compressor"]'
ARM = """[tensioner]
pulley = "tensioner"
kind = "arm"
pivot = "bolt"
free = 150
load = 110
[points]
bolt = { diameter = 24, right_of = "tensioner" }
eye = {}
"""
BOLT = (150.0, 110.0)


@cache
def both() -> Measurement:
    """Both kinds of readings with noise, one slip of the tape, one wrong click."""
    draw = np.random.default_rng(4)
    points = clicked(draw, Camera(pitch=8.0, yaw=-12.0))
    points["pump"][3][0] += 60.0
    text = head(draw, level=ABOVE, top=ROUTE)
    text += tapes(draw, slips={("crank", "idler"): 30.0})
    return solve(parse(text + photo(points, 'file = "engine bay.jpg"'), name="seven"))


@cache
def with_pivot(units: str = "mm") -> Measurement:
    """A tape net with the pivot of the tensioner's arm and a point without size."""
    scale = 25.4 if units == "in" else 1.0
    ends = ("crank", "tensioner", "compressor", "alternator")
    text = head(level=ABOVE, top=f'{ROUTE}\nunits = "{units}"') + tapes()
    text += ARM
    for point in ("bolt", "eye"):
        for name in ends:
            apart = np.hypot(BOLT[0] - SEVEN[name].at[0], BOLT[1] - SEVEN[name].at[1])
            if point == "eye":
                apart = np.hypot(30.0 - SEVEN[name].at[0], 400.0 - SEVEN[name].at[1])
            text += f'[[tape]]\nfrom = "{point}"\nto = "{name}"\ndistance = {apart!r}\n'.replace(
                "np.float64(", ""
            ).replace(")\n", "\n")
            text += 'over = "centres"\n'
    if units == "in":
        for key in ("outside", "diameter", "distance"):
            parts = text.split(f"{key} = ")
            for i, part in enumerate(parts[1:], start=1):
                number = part.split(",")[0].split("\n")[0].split(" ")[0]
                parts[i] = part.replace(number, repr(float(number) / scale), 1)
            text = f"{key} = ".join(parts)
    return solve(parse(text))


def test_a_number_that_is_none_is_refused_and_not_written_as_null() -> None:
    """A record never holds what JSON cannot carry."""
    with pytest.raises(ValueError, match="finite number"):
        NextReading(start="crank", end="pump", worst_after=float("inf"))


class TestAnswer:
    def test_fields(self) -> None:
        found = both()
        answer = json.loads(json.dumps(measurement_answer(found), allow_nan=False))
        assert list(answer["pulleys"]) == list(SEVEN)
        pump = answer["pulleys"]["pump"]
        assert pump["at"] == pytest.approx(list(found.centres["pump"].at))
        sx, sy = pump["sigma_xy_mm"]
        assert pump["sigma_mm"] == pytest.approx(np.hypot(sx, sy) / np.sqrt(2.0))
        assert -1.0 <= pump["correlation"] <= 1.0
        assert answer["pulleys"]["crank"] == {
            "at": [0.0, 0.0],
            "sigma_mm": pytest.approx(0.0, abs=1e-9),
            "sigma_xy_mm": [pytest.approx(0.0, abs=1e-9)] * 2,
            "correlation": 0.0,
        }
        assert answer["points"] == {}
        assert answer["usable"] is True
        assert answer["title"] == "Seven, simulated"

    def test_residuals(self) -> None:
        answer = measurement_answer(both())
        taped = [row for row in answer["residuals"] if row["kind"] == "tape"]
        clicks = [row for row in answer["residuals"] if row["kind"] == "rim"]
        assert len(taped) == len(PAIRS)
        assert [(row["from"], row["to"]) for row in taped if not row["used"]] == [
            ("crank", "idler")
        ]
        for row in taped:
            assert row["residual_mm"] == pytest.approx(row["computed_mm"] - row["measured_mm"])
        used = [row["residual_mm"] for row in taped if row["used"]]
        assert answer["rms_mm"] == pytest.approx(float(np.sqrt(np.mean(np.square(used)))))
        assert [row["pulley"] for row in clicks] == list(SEVEN)
        assert [row["used"].count(False) for row in clicks] == [0, 1, 0, 0, 0, 0, 0]
        misses = [
            miss
            for row in clicks
            for miss, used in zip(row["residuals_px"], row["used"], strict=True)
            if used
        ]
        assert answer["rms_px"] == pytest.approx(float(np.sqrt(np.mean(np.square(misses)))))
        assert clicks[0]["stated_mm"] == pytest.approx(164.0, abs=1.0)
        assert clicks[0]["diameter_mm"] == pytest.approx(164.0, abs=1.0)

    def test_suspects_and_the_rest(self) -> None:
        answer = measurement_answer(both())
        assert [(s["kind"], s["pulleys"], s["set_aside"]) for s in answer["suspects"]] == [
            ("tape", ["crank", "idler"], True),
            ("click", ["pump"], True),
        ]
        assert all(isinstance(line, str) for line in answer["cautions"])
        assert set(answer["next"]) == {"from", "to", "worst_sigma_mm"}
        assert answer["photo"]["file"] == "engine bay.jpg"
        assert np.shape(answer["photo"]["image_to_front"]) == (3, 3)
        assert set(answer["photo"]["depth_effect_mm"]) == set(SEVEN)

    def test_nothing_left_to_measure(self) -> None:
        at = {"crank": SEVEN["crank"], "idler": SEVEN["idler"], "pump": SEVEN["pump"]}
        level = 'from = "crank", to = "idler", angle = 110.2, above = "pump"'
        pairs = [("crank", "idler"), ("crank", "pump"), ("idler", "pump")]
        text = head(names=at, level=level) + tapes(pairs=pairs)
        answer = measurement_answer(solve(parse(text)))
        assert answer["next"] is None
        assert answer["photo"] is None
        assert answer["rms_px"] is None


class TestLayoutText:
    def test_reads_back_as_the_layout(self) -> None:
        found = both()
        text = found.layout_text()
        layout = layout_file.parse(text)
        assert layout.route == found.survey.layout.route
        for name, pulley in layout.pulleys.items():
            assert pulley.at == pytest.approx(found.centres[name].at, abs=0.006)
            assert pulley.accuracy == pytest.approx(found.centres[name].sigma, abs=0.006)
            assert pulley.measured == found.survey.layout.pulleys[name].measured
        assert text.startswith(
            "# Centres found from 17 tape readings and 7 rims in engine bay.jpg; accuracy is 1 "
            "sigma.\n# Left out: crank to idler centre to centre: "
        )
        assert "\n# Left out: the rim of pump: point 4 lies " in text
        assert "at = [0.0, 0.0]" in text

    def test_own_keys_are_left_out(self) -> None:
        draw = np.random.default_rng(4)
        keys = {"pump": ', depth = 3.0, above = "crank"'}
        camera = Camera(pitch=8.0, yaw=-12.0)
        points = clicked(draw, camera, depths={"pump": 3.0})
        text = head(draw, keys=keys, top="accuracy = 2\nnotes = 'x'") + photo(points)
        data = tomllib.loads(solve(parse(text)).layout_text())
        assert set(data) == {"title", "notes", "belt", "pulleys"}
        assert set(data["pulleys"]["pump"]) == {"at", "outside", "face", "role", "accuracy"}

    @pytest.mark.parametrize("units", ["mm", "in"])
    def test_pivot(self, units: str) -> None:
        found = with_pivot(units)
        layout = layout_file.parse(found.layout_text())
        assert layout.tensioner is not None
        assert layout.tensioner.pivot == pytest.approx(BOLT, abs=0.01)
        assert layout.pulleys["pump"].at == pytest.approx(SEVEN["pump"].at, abs=0.01)
        answer = measurement_answer(found)
        assert list(answer["points"]) == ["bolt", "eye"]
        assert answer["points"]["eye"]["at"] == pytest.approx([30.0, 400.0], abs=1e-3)

    def test_photograph_without_a_name(self) -> None:
        text = head() + photo(clicked(None, Camera()))
        first = solve(parse(text)).layout_text().splitlines()[0]
        assert first == "# Centres found from 7 rims in a photograph; accuracy is 1 sigma."

"""Check mirrored: a drive whose y runs downwards, or that was measured from behind, is told so."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

import beltpath
from beltpath import checks
from beltpath.checks.findings import Finding, verdict
from beltpath.errors import PathError
from beltpath.layout.layout import Layout
from beltpath.layout.reader import parse
from beltpath.layout.toml import write
from beltpath.solve.drive import Drive, solve
from tests.checks.drives import FIXED, PAIR, SLIDE, SPRUNG, findings_of
from tests.demos.test_demos import DEMOS

LAYOUTS = Path(__file__).parents[2] / "layouts"


def with_places(text: str, x: int, y: int) -> dict[str, Any]:
    """The file's tables with every place multiplied by the signs, as if so counted."""
    data = tomllib.loads(text)
    places = [pulley["at"] for pulley in data["pulleys"].values()]
    if "pivot" in data.get("tensioner", {}):
        places.append(data["tensioner"]["pivot"])
    for at in places:
        at[:] = [x * at[0], y * at[1]]
    return data


def found(data: dict[str, Any]) -> list[Finding]:
    findings = checks.run(solve(parse(write(data))), without=("look-alike",))
    assert verdict(findings) == "fail"
    return [finding for finding in findings if finding.check == "mirrored"]


@pytest.mark.parametrize("text", [SPRUNG, (LAYOUTS / "orchard-sprayer.toml").read_text()])
class TestWithAnArm:
    def test_y_counted_downwards(self, text: str) -> None:
        (finding,) = found(with_places(text, 1, -1))
        assert finding.level == "caution"
        assert "y seems to be counted downwards. " in finding.message
        assert "change the sign of every y in" in finding.message
        assert "behind" not in finding.message

    def test_measured_from_behind(self, text: str) -> None:
        (finding,) = found(with_places(text, -1, 1))
        assert ": the drive seems to be measured from behind, or x counted" in finding.message
        assert "change the sign of every x in" in finding.message
        assert "downwards" not in finding.message

    @pytest.mark.parametrize(("x", "y", "axis"), [(1, -1, "y"), (-1, 1, "x")])
    def test_when_the_route_was_turned_round_already(
        self, text: str, x: int, y: int, axis: str
    ) -> None:
        data = with_places(text, x, y)
        data["route"].reverse()
        (finding,) = found(data)
        wanted = f"the sign of every {axis} in the layout, and turn the order of the route round."
        assert wanted in finding.message

    def test_angles_reckoned_from_mirrored_places(self, text: str) -> None:
        data = with_places(text, 1, -1)
        t = data["tensioner"]
        t["free"], t["load"] = -t["free"], -t["load"]
        t["window"] = [-t["window"][1], -t["window"][0]]
        if "spring" in t:
            t["spring"] |= {"at": -t["spring"]["at"], "rate": -t["spring"]["rate"]}
        (finding,) = found(data)
        assert "counted downwards, or the drive seems to be measured from behind" in finding.message

    def test_turned_by_half_a_turn_it_is_no_mirror_image(self, text: str) -> None:
        """Both axes turned round is a drive upside down: no sign of one axis mends that."""
        data = with_places(text, -1, -1)
        findings = checks.run(solve(parse(write(data))), without=("look-alike",))
        assert "mirrored" not in {finding.check for finding in findings}


@pytest.mark.parametrize(("x", "y"), [(1, -1), (-1, 1)])
def test_without_a_tensioner_both_axes_are_named(x: int, y: int) -> None:
    (finding,) = found(with_places(FIXED, x, y))
    assert "counted downwards, or the drive seems to be measured from behind" in finding.message
    assert "the sign of every y or x in" in finding.message
    assert "A route written backwards, or a wrong crank_turns, would look" in finding.message


def on_a_slide(x: int, y: int, along: float) -> dict[str, Any]:
    data = with_places(SPRUNG, x, y)
    data["tensioner"] = {
        "pulley": "tensioner",
        "kind": "slide",
        "along": along,
        "free": 30,
        "load": -55,
    }
    return data


def test_a_slide() -> None:
    sound = checks.run(solve(parse(write(on_a_slide(1, 1, 93)))), without=("look-alike",))
    assert verdict(sound) != "fail"
    (finding,) = found(on_a_slide(-1, 1, 93))
    assert "the sign of every x in" in finding.message
    (finding,) = found(on_a_slide(1, -1, 93))
    assert "the sign of every y in" in finding.message


def test_a_slide_whose_direction_was_reckoned_from_mirrored_places() -> None:
    (finding,) = found(on_a_slide(1, -1, -45))
    assert "the sign of every y or x in" in finding.message


@pytest.mark.parametrize("text", [SPRUNG, FIXED, SLIDE, PAIR])
def test_sound_drives_are_silent(text: str) -> None:
    assert "mirrored" not in {finding.check for finding in findings_of(text)}


@pytest.mark.parametrize("name", DEMOS)
def test_no_demo_is_mirrored(name: str) -> None:
    """The two faulty ones have other causes, which mirroring does not mend."""
    text = (LAYOUTS / f"{name}.toml").read_text(encoding="utf-8")
    assert "mirrored" not in {finding.check for finding in findings_of(text)}


def test_a_drive_that_cannot_be_laid_the_other_way() -> None:
    """A grooved pulley on the back, on fixed centres: mirrored it runs against the travel."""
    findings = findings_of(FIXED, ('"smooth"', '"grooved"'))
    assert verdict(findings) == "fail"
    assert "mirrored" not in {finding.check for finding in findings}


def test_a_mirror_image_round_which_no_belt_can_be_laid(monkeypatch: pytest.MonkeyPatch) -> None:
    drive = solve(parse(write(with_places(FIXED, 1, -1))))

    def no_belt(layout: Layout) -> Drive:
        raise PathError("no belt")

    monkeypatch.setattr("beltpath.checks.mirrored.solve", no_belt)
    assert "mirrored" not in {finding.check for finding in checks.run(drive)}


def test_it_can_be_left_out() -> None:
    drive = solve(parse(write(with_places(FIXED, 1, -1))))
    told = checks.run(drive, without=("look-alike", "mirrored"))
    assert "mirrored" not in {finding.check for finding in told}


def test_a_belt_that_crosses_itself_with_y_counted_downwards_names_it() -> None:
    """The route runs with the travel still: only the crossing told of it."""
    text = (LAYOUTS / "water-wheel.toml").read_text(encoding="utf-8")
    down = re.sub(
        r"at = \[(-?[\d.]+), (-?[\d.]+)\]", lambda m: f"at = [{m[1]}, {-float(m[2])}]", text
    )
    found = beltpath.study(beltpath.parse(down)).findings
    assert "crossing" in {finding.check for finding in found}
    (told,) = [finding for finding in found if finding.check == "mirrored"]
    assert "y seems to be counted downwards" in told.message

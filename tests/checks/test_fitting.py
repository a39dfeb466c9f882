"""Whether a belt can be got on: what is said, of which end of its tolerance, and in whose words."""

from __future__ import annotations

import re
from math import pi

import pytest

from beltpath.checks.findings import Finding
from beltpath.sizing.catalogue import Offer
from beltpath.sizing.fit import judge, wanted
from tests.checks.drives import SPRUNG, changed, drive_of, findings_of, only, run
from tests.core.test_refit import drive

#: A wheel and a motor, and a smooth idler on a bolted bracket that can be swung clear of the belt.
BRACKET = """
title = "Bench, idler on a bolted bracket"
driver = "motor"
accuracy = 0.2
crank_turns = "clockwise"
route = ["motor", "wheel", "idler"]
[belt]
section = "PJ"
ribs = 6
length = 1030
tolerance = 1
[pulleys]
motor = { at = [0, 0], diameter = 75, face = "grooved", role = "crank" }
wheel = { at = [10, 350], diameter = 125, face = "grooved", role = "other" }
idler = { at = [50, 170], diameter = 60, face = "smooth", role = "idler" }
[tensioner]
pulley = "idler"
kind = "swing"
pivot = [80, 70]
free = 125
load = 70
lever = "13 mm spanner"
"""


def fit_on(text: str, *changes: tuple[str, str]) -> Finding | None:
    return next((f for f in findings_of(text, *changes) if f.check == "fit-on"), None)


def bracket(length: float) -> str:
    return changed(BRACKET, ("length = 1030", f"length = {length}"))


def shortest_without_idler() -> float:
    stand = drive_of(BRACKET).stand
    assert stand is not None
    return stand.shortest


class TestBracket:
    """With the idler swung clear there is no slack but what the belt is longer than two wheels."""

    def test_a_belt_that_no_wheel_lets_pass_is_a_fault(self) -> None:
        told = fit_on(bracket(shortest_without_idler() + 4.0))
        assert told is not None
        assert told.level == "fault"
        assert "easiest way on, over motor" in told.message

    def test_size_says_the_same(self) -> None:
        length = shortest_without_idler() + 4.0
        one = judge(wanted(drive_of(BRACKET).layout), Offer("x", "PJ", 6, length, 1.0))
        assert one.answer == "does not fit"
        assert "no rim can be passed under" in one.reasons[0]

    def test_a_longer_one_passes(self) -> None:
        assert fit_on(bracket(shortest_without_idler() + 12.0)) is None

    def test_a_swing_has_no_lever(self) -> None:
        words = " ".join(f.message for f in findings_of(bracket(shortest_without_idler() + 4.0)))
        assert "ever" not in re.findall(r"\bl(ever)\b", words)
        assert "Swung to the end where it is slack" in words
        assert "slack end (70°)" in words
        assert "Swung so far over it stands clear" in words

    def test_exchanged_ends_of_a_swing_are_told_without_a_lever(self) -> None:
        text = changed(BRACKET, ("free = 125", "free = 92"), ("load = 70", "load = 125"))
        words = " ".join(f.message for f in findings_of(text))
        assert "lever" not in words
        assert "swung over" in words


class TestShortEnd:
    """The slack is reckoned at the short end of the tolerance, and says so."""

    TIGHT = (("load = -35", "load = -5"), ("window = [-20, 18]", "window = [-4, 18]"))
    SPENT = (("load = -35", "load = -2"), ("window = [-20, 18]", "window = [-1, 18]"))

    def test_the_fault_names_the_end_and_the_belt(self) -> None:
        told = fit_on(SPRUNG, *self.TIGHT)
        assert told is not None
        assert told.level == "fault"
        assert "at the short end of its tolerance (1875 mm; ± 5 mm, given)" in told.message
        assert "Measure the belt" in told.message

    def test_no_slack_is_not_printed_as_a_negative_one(self) -> None:
        told = fit_on(SPRUNG, *self.SPENT)
        assert told is not None
        assert "-" not in told.message.replace("fit-on", "")
        assert re.search(r"is [\d.]+ mm too short for the shortest path", told.message)
        assert "is 0.0 mm" not in told.message

    def test_one_fact_is_told_once(self) -> None:
        told = findings_of(SPRUNG, *self.SPENT)
        assert [f.check for f in told if "cannot be got on" in f.message] == []
        assert [f.check for f in told if "short end" in f.message] == ["fit-on"]

    def test_as_measured_there_is_no_tolerance_to_name(self) -> None:
        told = fit_on(
            SPRUNG, ("length = 1880\ntolerance = 5\n", ""), ("load = -35", "load = 2"),
            ("window = [-20, 18]\n", "")
        )  # fmt: skip
        assert told is not None
        assert "tolerance" not in told.message
        assert "Look for a longer belt" in told.message


def level_of(length: float) -> int:
    """How bad `fit-on` finds a belt on a drive of little travel: 2 a fault, 1 a caution, 0 none."""
    text = changed(SPRUNG, ("load = -35", "load = -5"), ("window = [-20, 18]", "window = [-4, 18]"))
    told = fit_on(text, ("length = 1880", f"length = {length}"))
    return 0 if told is None else {"fault": 2, "caution": 1}[told.level]


def test_a_shorter_belt_gets_no_better_answer() -> None:
    levels = [level_of(length) for length in range(1874, 1912, 2)]
    assert levels == sorted(levels, reverse=True)
    assert set(levels) == {0, 1, 2}


class TestStretch:
    """One rule in `check` and `size`: the longest belt within tolerance, stretched in service."""

    @pytest.mark.parametrize("free", [10.0, 13.0, 15.0, 17.0, 20.0])
    def test_check_and_size_agree(self, free: float) -> None:
        drive = drive_of(
            SPRUNG, ("free = 20", f"free = {free}"), ("window = [-20, 18]", "window = [-20, 9]")
        )
        says = [f for f in run(drive) if "of stretch in service" in f.message]
        checked = any(f.level == "caution" for f in says)
        one = judge(wanted(drive.layout), Offer("6PK1880", "PK", 6, 1880.0, 5.0))
        sized = any("no longer keeps taut" in reason for reason in one.reasons)
        assert checked == sized == (free < 14.18)

    def test_outside_the_window_after_stretch_is_a_note(self) -> None:
        """A worn belt past its window has done its time; it says nothing against a new one."""
        told = only(SPRUNG, ("window = [-20, 18]", "window = [-20, 9]"))
        assert told.level == "note"
        assert "long end of its tolerance after 1 % of stretch" in told.message


@pytest.mark.parametrize("short", [0.004, 0.04, 0.4])
def test_size_prints_no_belt_as_too_short_by_nothing(short: float) -> None:
    need = wanted(drive_of(SPRUNG).layout)
    length = need.lifted + 5.0 - short
    (reason,) = judge(need, Offer("x", "PK", 6, length, 5.0)).reasons
    assert not reason.startswith("0 mm")
    assert "at the short end of its tolerance" in reason
    found = re.search(r"tolerance \(([\d.]+) mm\) no rim can be passed under ([\d.]+) mm", reason)
    assert found is not None
    assert float(found[1]) < float(found[2])


def test_where_no_rim_can_be_judged_the_travel_tells_of_a_belt_too_short() -> None:
    """Rims so wide that no lifted belt has a path: `fit-on` is silent, so `travel` must speak."""
    wide = drive(
        belt=f"length = {600 + 100 * pi}\ntolerance = 9",
        motor="rim = 900",
        saw="rim = 900",
        load=-1,
    )
    told = run(wide)
    assert "fit-on" not in {f.check for f in told}
    assert any("short end" in f.message and "cannot be got on" in f.message for f in told)

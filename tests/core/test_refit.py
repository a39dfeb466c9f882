"""First off, last on: the slack that each rim needs against the slack that the lever gives."""

from __future__ import annotations

from math import hypot, pi

import pytest

from beltpath import checks
from beltpath.layout.reader import parse
from beltpath.refit.order import flange_height, lifted_radius, refit, shortest_by_rule
from beltpath.solve.drive import Drive, solve
from tests.checks.drives import SPRUNG

#: Two pulleys of d_e 100 on one level and a slide that moves the second along the line of centres:
#: every length is 2·C + π·100.
SLIDE = """
title = "Test bench"
route = ["motor", "saw"]
[belt]
section = "PK"
ribs = 4
{belt}
[pulleys]
motor = {{ at = [0, 0], diameter = 100, face = "grooved", role = "crank", {motor} }}
saw = {{ at = [300, 0], diameter = 100, face = "grooved", role = "pump", {saw} }}
[tensioner]
pulley = "saw"
kind = "slide"
along = 0
free = 20
load = {load}
"""


def drive(belt: str = "", motor: str = "", saw: str = "", load: float = -20) -> Drive:
    text = SLIDE.format(belt=belt, motor=motor, saw=saw, load=load)
    return solve(parse(text.replace(",  }", " }")))


def test_slack_is_the_belt_less_the_shortest_path() -> None:
    found = refit(drive())
    assert found.slack == pytest.approx(40.0)  # 2 mm of belt for each mm of slide


def test_a_shorter_belt_within_tolerance_leaves_less_slack() -> None:
    length = 2 * 300 + pi * 100
    found = refit(drive(belt=f"length = {length}\ntolerance = 6"))
    assert found.slack == pytest.approx(34.0)


def test_a_rim_needs_half_a_turn_of_the_lift() -> None:
    solved = drive(motor="rim = 112")
    found = refit(solved)
    lift = 56.0 + solved.layout.belt.height - solved.layout.belt.back - 50.0
    needs = {rim.pulley: rim.needs for rim in found.rims}
    # Two equal wraps of 180°: growing one of them by `lift` adds π·lift and a little for the slope.
    assert needs["motor"] == pytest.approx(pi * lift + lift**2 / 280.0, rel=1e-3)
    assert lifted_radius(solved, solved.path, 0) == pytest.approx(50.0 + lift)


def test_a_smooth_rim_without_flanges_needs_room_for_the_belt_beside_it() -> None:
    """Nothing is lifted, but both spans of 300 mm run aslant by the width of four ribs."""
    text = SLIDE.format(belt="", motor="", saw="", load=-20).replace(",  }", " }")
    smooth = text.replace(
        'saw = { at = [300, 0], diameter = 100, face = "grooved", role = "pump" }',
        'saw = { at = [300, 0], diameter = 100, face = "smooth", role = "idler", side = "ribs" }',
    )
    rims = {rim.pulley: rim.needs for rim in refit(solve(parse(smooth))).rims}
    aside = 4 * 3.56
    span = 300.0 - 20.0
    assert rims["saw"] == pytest.approx(2.0 * (hypot(span, aside) - span), rel=1e-3)
    assert rims["motor"] > 0.0


def test_the_easy_reach_wins_and_the_moving_pulley_waits() -> None:
    assert refit(drive(motor='reach = "easy"')).last_on == "motor"
    assert refit(drive(saw='reach = "easy"')).last_on == "saw"
    # Neither is easier: hands stay off the pulley that moves.
    assert refit(drive()).last_on == "motor"


def test_a_belt_with_room_to_spare_passes() -> None:
    length = 2 * 300 + pi * 100
    roomy = drive(belt=f"length = {length}\ntolerance = 1", load=-60)
    assert "fit-on" not in {finding.check for finding in checks.run(roomy)}


def test_order_runs_with_the_belt_and_ends_at_the_last_one() -> None:
    found = refit(drive(saw='reach = "easy"'))
    assert found.order == ("motor", "saw")
    assert found.numbers == {"motor": 1, "saw": 2}
    assert [step.number for step in found.on] == list(range(1, len(found.on) + 1))
    assert found.on[-1].kind == "run"


def test_cautions_stand_before_the_steps_they_belong_to() -> None:
    found = refit(drive())
    slacken = next(step for step in found.off if step.kind == "slacken")
    assert [caution.signal for caution in slacken.before] == ["WARNING"]
    assert "sprung" in slacken.before[0].text
    assert found.off[0].before, "the engine is made safe before the first step"


def test_sae_rule_by_hand() -> None:
    solved = drive(belt="length = 914.16\ntolerance = 5", motor="rim = 108")
    # 40 mm less than as measured with the slide at its load stop; motor's flange stands out 4 mm
    # over d_e 100 (diameter), 4.44 mm over its groove tips.
    shortest = 2 * 280 + pi * 100
    flange = (108 - (100 - 0.885)) / 2
    assert flange_height(solved, solved.layout.pulleys["motor"]) == pytest.approx(flange)
    assert solved.stand is not None
    rule = shortest_by_rule(solved, solved.stand, "motor")
    assert rule == pytest.approx(1.003 * shortest + 10 + 0.77 * 25.4 + 6.28 * flange)


def test_the_rule_says_nothing_of_a_pulley_outside_the_belt_nor_of_other_sections() -> None:
    solved = solve(parse(SPRUNG))
    assert solved.stand is not None
    assert shortest_by_rule(solved, solved.stand, "crank") is not None
    assert shortest_by_rule(solved, solved.stand, "tensioner") is None
    other = solve(parse(SPRUNG.replace('"PK"', '"PJ"')))
    assert other.stand is not None
    assert shortest_by_rule(other, other.stand, "crank") is None


def test_fit_on_is_a_fault_when_no_rim_has_slack_enough() -> None:
    stiff = drive(motor="rim = 118", saw="rim = 118", load=-1)
    assert refit(stiff).can_be_fitted is False
    faults = {finding.check for finding in checks.run(stiff) if finding.level == "fault"}
    assert faults == {"fit-on"}


def test_fit_on_is_silent_where_no_rim_can_be_judged() -> None:
    """Rims so wide that the lifted belt would have no path: `overlap` tells of them."""
    wide = drive(motor="rim = 900", saw="rim = 900")
    assert refit(wide).rims == ()
    found = {finding.check for finding in checks.run(wide)}
    assert "overlap" in found
    assert "fit-on" not in found


def test_fit_on_cautions_by_the_rule_alone() -> None:
    tight = drive(belt=f"length = {2 * 300 + pi * 100}\ntolerance = 1", load=-8)
    assert refit(tight).can_be_fitted is True
    found = [finding for finding in checks.run(tight) if finding.check == "fit-on"]
    assert [finding.level for finding in found] == ["caution"]


@pytest.mark.parametrize(
    ("belt", "words"),
    [("elastic = true", "Cut the old one"), ("", "do not lever")],
)
def test_without_a_tensioner_nothing_is_claimed(belt: str, words: str) -> None:
    text = SLIDE.format(belt=belt, motor="", saw='reach = "hard"', load=-20)
    solved = solve(parse(text.replace(",  }", " }").partition("[tensioner]")[0]))
    found = refit(solved)
    assert found.slack is None
    assert found.rims == ()
    assert found.can_be_fitted is None
    assert found.shortest_by_rule is None
    assert "fit-on" not in {finding.check for finding in checks.run(solved)}
    # The crank comes last of all, even before a pulley that is hard to reach.
    assert found.last_on == "saw"
    assert words in " ".join(step.text for step in found.off)


ARM = SPRUNG.replace('kind = "arm"', 'kind = "arm"\nlever = "15 mm hex"')


def test_an_arm_says_which_way_and_where_it_should_stand() -> None:
    solved = solve(parse(ARM))
    found = refit(solved)
    slacken = next(step.text for step in found.on if step.kind == "slacken")
    assert f"Turn the tensioner ({found.numbers['tensioner']}) clockwise" in slacken
    assert "Tool: 15 mm hex." in slacken
    settle = next(step.text for step in found.on if step.kind == "settle")
    assert settle.endswith("should stand at 36 ± 12 % from free to load, inside its window.")


def test_a_rim_that_the_belt_cannot_be_lifted_over_is_left_out() -> None:
    """A rim of 900 mm would swallow its neighbours: no path, so it is no choice."""
    wide = ARM.replace(
        'diameter = 130, face = "grooved", role = "pump"',
        'diameter = 130, rim = 900, face = "grooved", role = "pump"',
    )
    assert wide != ARM
    names = {rim.pulley for rim in refit(solve(parse(wide))).rims}
    assert "pump" not in names
    assert "alternator" in names


def test_a_swing_is_loosened_not_levered() -> None:
    swing = ARM.replace('kind = "arm"', 'kind = "swing"').replace('lever = "15 mm hex"\n', "")
    swing = swing.replace('release = "clockwise"\n', "")
    found = refit(solve(parse(swing)))
    assert not any("lever" in step.text for step in (*found.off, *found.on))
    assert "pivot bolt" in next(step.text for step in found.off if step.kind == "slacken")
    assert not any(step.kind == "settle" for step in found.off)

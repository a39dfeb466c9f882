"""The way on, rim by rim: a back-side idler is no way round the rims that the ribs run on."""

from __future__ import annotations

from itertools import permutations
from math import hypot, inf, pi

import pytest

from beltpath.layout.reader import parse
from beltpath.refit.order import Refit, lifted_radius, refit, without
from beltpath.solve.drive import Drive, solve
from beltpath.solve.path import ring

#: Two wheels of 100 mm, 400 mm apart, and a smooth idler that presses the right run inwards.
PRESSED = """
title = "Test bench"
crank_turns = "clockwise"
route = ["motor", "wheel", "idler"]
[belt]
section = "PK"
ribs = 4
{belt}
[pulleys]
motor = {{ at = [0, 0], diameter = 100, face = "grooved", role = "crank" }}
wheel = {{ at = [0, 400], diameter = 100, face = "grooved", role = "other" }}
idler = {{ at = [{x}, 200], diameter = 60, face = "smooth", role = "idler", reach = "easy" }}
{tensioner}
"""
SLIDE = '[tensioner]\npulley = "wheel"\nkind = "slide"\nalong = 90\nfree = 20\nload = {load}'


def pressed(load: float | None, belt: str = "", x: float = 58) -> Drive:
    tensioner = "" if load is None else SLIDE.format(load=load)
    return solve(parse(PRESSED.format(belt=belt, tensioner=tensioner, x=x)))


def by_trying(drive: Drive) -> float:
    """The least that any order of taking off asks for, by trying every one."""
    path = drive.path
    names = [contact.pulley for contact in path.contacts]
    lifted = {name: lifted_radius(drive, path, i) for i, name in enumerate(names)}
    width = 4 * 3.56

    def longest(order: tuple[str, ...]) -> float:
        discs, most = path.discs, 0.0
        for name in order:
            if len(discs) < 2 or name not in [disc.name for disc in discs]:
                continue
            i = [disc.name for disc in discs].index(name)
            plain = ring(discs)
            high = ring([d._replace(radius=lifted[name]) if d.name == name else d for d in discs])
            runs = (plain.spans[i - 1].length, plain.spans[i].length)
            aside = plain.length + sum(hypot(run, width) - run for run in runs)
            most = max(most, high.length, aside)
            discs = without(discs, name)
        return most

    return min(longest(order) for order in permutations(names)) - path.length


def test_a_belt_off_the_idler_must_still_pass_a_grooved_rim() -> None:
    """The idler frees 5 mm only: the rims of the wheels ask for more than its own."""
    found = refit(pressed(-20))
    needs = {rim.pulley: rim for rim in found.rims}
    assert needs["idler"].needs > 2.0
    assert needs["idler"].before in (("motor",), ("wheel",))
    assert needs["motor"].before == ()


@pytest.mark.parametrize("x", [42, 47, 52, 60, 70])
def test_the_easiest_way_is_the_best_of_all_orders(x: float) -> None:
    solved = pressed(None, x=x)
    from beltpath.refit.order import easiest_rim

    easiest = easiest_rim(solved)
    assert easiest is not None
    assert easiest.needs == pytest.approx(by_trying(solved))


def test_little_slack_does_not_pass_because_an_idler_is_smooth() -> None:
    """1 mm of slide gives 2 mm of slack: the belt comes off the idler, and over no wheel."""
    found = refit(pressed(-1))
    assert found.slack == pytest.approx(2.0, abs=0.1)
    assert found.can_be_fitted is False


def test_the_last_one_is_inside_the_belt_where_the_slack_allows_it() -> None:
    found = refit(pressed(-20))
    assert found.slipped == (found.last_on,)
    assert found.last_on == "motor"
    assert found.order[-1] == "motor"


def two_rims() -> Refit:
    """Slack for a rim without the idler on, and not with it."""
    return refit(pressed(-2.5))


def test_two_rims_are_passed_in_one_step_where_one_is_not_enough() -> None:
    found = two_rims()
    assert found.can_be_fitted is True
    assert found.slipped[-1] == found.last_on == "idler"
    assert len(found.slipped) == 2
    grooved = found.slipped[0]
    thread, on = (next(s for s in found.on if s.kind == kind) for kind in ("thread", "on"))
    assert grooved not in thread.pulleys
    assert on.pulleys == found.slipped
    off = next(step for step in found.off if step.kind == "off")
    assert off.pulleys == found.slipped[::-1]
    assert "first, then off the" in off.text
    assert "then over the idler (3) last" in on.text
    assert on.held


def test_on_fixed_centres_it_is_laid_on_the_idler_before_the_wheels() -> None:
    """Nobody lays a belt round both wheels and presses it past an idler that frees nothing."""
    for belt in ("", "elastic = true"):
        found = refit(pressed(None, belt))
        assert found.last_on == "wheel"  # and not the idler, though it is easy to reach
        assert "idler" in next(step for step in found.on if step.kind == "thread").pulleys


def test_a_stretch_belt_is_started_on_a_rim_that_it_is_not_yet_on() -> None:
    found = refit(pressed(None, "elastic = true"))
    assert [(s.kind, s.belt) for s in found.on if s.kind in ("thread", "on", "walk")] == [
        ("thread", "loose"),
        ("on", "loose"),
        ("walk", "on"),
    ]


def test_a_stretch_belt_is_not_walked_on_over_a_smooth_rim() -> None:
    text = PRESSED.format(belt="elastic = true", tensioner="", x=52).replace(
        'wheel = { at = [0, 400], diameter = 100, face = "grooved", role = "other" }',
        'wheel = { at = [0, 400], diameter = 100, face = "smooth", role = "other", side = "ribs" }',
    )
    assert refit(solve(parse(text))).last_on == "motor"


def test_an_idler_that_frees_much_is_a_way_on_by_itself() -> None:
    """Pressed in by 90 mm: without it the belt hangs loose."""
    needs = {rim.pulley: rim for rim in refit(pressed(-20, x=-10)).rims}
    assert needs["idler"].before == ()
    assert needs["idler"].needs < 2.0


def test_pulleys_that_the_belt_no_longer_touches_are_no_rims_to_pass() -> None:
    """Off the small one, the belt runs clear of the idler beside it."""
    text = """
title = "t"
crank_turns = "clockwise"
route = ["motor", "idler", "small", "fan"]
[belt]
section = "PK"
ribs = 4
[pulleys]
motor = { at = [0, 0], diameter = 120, face = "grooved", role = "crank" }
idler = { at = [-60, 150], diameter = 60, face = "smooth", role = "idler" }
small = { at = [-150, 220], diameter = 60, face = "grooved", role = "other" }
fan = { at = [100, 300], diameter = 120, face = "grooved", role = "fan" }
"""
    path = solve(parse(text)).path
    assert [disc.name for disc in without(path.discs, "small")] == ["motor", "fan"]


def test_a_rim_without_a_path_is_no_way() -> None:
    wide = refit(
        solve(
            parse(
                PRESSED.format(belt="", tensioner=SLIDE.format(load=-20), x=52).replace(
                    'role = "idler", reach', 'role = "idler", rim = 900, reach'
                )
            )
        )
    )
    assert "idler" not in {rim.pulley for rim in wide.rims}
    assert all(rim.needs < inf for rim in wide.rims)


def test_a_longer_belt_never_asks_for_more() -> None:
    """A shorter belt must not get a better answer because its last pulley is another one."""
    length = 800 + 100 * pi + 5
    spare = []
    for more in range(12):
        found = refit(pressed(-6, f"length = {length + more}\ntolerance = 0.5"))
        spare.append((found.rims[0].spare >= 0.0, max(rim.spare for rim in found.rims)))
    assert spare == sorted(spare)


def test_a_rim_that_leaves_two_others_without_a_path_is_no_way() -> None:
    """The small one lies inside the large one: only what runs between them keeps the belt apart."""
    text = """
title = "t"
crank_turns = "clockwise"
route = ["large", "left", "small", "right"]
[belt]
section = "PK"
ribs = 4
[pulleys]
large = { at = [0, 0], diameter = 300, face = "grooved", role = "crank" }
left = { at = [-500, 0], diameter = 60, face = "grooved", role = "other" }
small = { at = [0, 60], diameter = 60, face = "grooved", role = "other" }
right = { at = [500, 0], diameter = 60, face = "grooved", role = "fan" }
[tensioner]
pulley = "right"
kind = "slide"
along = 0
free = 20
load = -20
"""
    solved = solve(parse(text))
    assert [disc.name for disc in without(solved.path.discs, "left")] == ["large", "small", "right"]
    assert not {rim.pulley for rim in refit(solved).rims} & {"left", "right"}

"""The steps as data: they follow from what drives, which section, how tensioned, elastic or not."""

from __future__ import annotations

import re

import pytest

from beltpath.layout.keys import Sense
from beltpath.layout.reader import parse
from beltpath.refit.cautions import AFTER, SPRUNG, UNBLOCKED
from beltpath.refit.order import Refit, refit
from beltpath.refit.steps import SPRUNG_KINDS, Step, held_runs, tensioning
from beltpath.solve.drive import solve

DRIVE = """
title = "Test bench"
driver = "{driver}"
route = ["motor", "saw", "fan"]
[belt]
{belt}
[pulleys]
motor = {{ at = [0, 0], diameter = 100, face = "grooved", role = "crank", label = "main drive" }}
saw = {{ at = [300, 0], diameter = 100, face = "grooved", role = "pump" }}
fan = {{ at = [150, -200], diameter = 100, face = "grooved", role = "fan", label = "Big Fan" }}
{tensioner}
"""
BELTS = {
    "ribbed": 'section = "PK"\nribs = 4',
    "V": 'section = "AV13"',
    "elastic": 'section = "PK"\nribs = 4\nelastic = true',
    "double": 'section = "PK"\nribs = 4\ndouble_sided = true',
}
TENSIONERS = {
    "fixed": "",
    "arm": '[tensioner]\npulley = "saw"\nkind = "arm"\npivot = [300, -80]\nfree = 60\nload = 120\n'
    'lever = "15 mm hex"\nwindow = [70, 110]',
    "slide": '[tensioner]\npulley = "saw"\nkind = "slide"\nalong = 0\nfree = 20\nload = -20',
    "swing": '[tensioner]\npulley = "saw"\nkind = "swing"\npivot = [300, -80]\nfree = 60\n'
    "load = 120",
}
KINDS = [
    *((belt, how) for belt in ("ribbed", "V", "double") for how in TENSIONERS),
    ("elastic", "fixed"),
]
DRIVERS = ("engine", "motor", "other")
EVERY = [(driver, *kind) for driver in DRIVERS for kind in KINDS]


def made(driver: str = "engine", belt: str = "ribbed", how: str = "fixed", more: str = "") -> Refit:
    text = DRIVE.format(driver=driver, belt=f"{BELTS[belt]}\n{more}", tensioner=TENSIONERS[how])
    return refit(solve(parse(text)))


def every(found: Refit) -> tuple[Step, ...]:
    return (*found.off, *found.on)


def said(found: Refit) -> str:
    """All that the steps and their cautions say."""
    return " ".join(
        " ".join((*(caution.text for caution in step.before), step.text)) for step in every(found)
    )


def the(kind: str, steps: tuple[Step, ...]) -> Step:
    [found] = [step for step in steps if step.kind == kind]
    return found


class TestDriver:
    def test_only_an_engine_has_a_key_and_a_battery(self) -> None:
        for driver in DRIVERS:
            words = said(made(driver))
            assert ("key" in words) == (driver == "engine")
            assert ("attery" in words) == (driver == "engine")

    @pytest.mark.parametrize(
        ("driver", "words"),
        [
            ("engine", "start-stop"),
            ("motor", "Isolate every energy source, lock it, prove it dead."),
            ("motor", "A pressure switch, a float or a timer can start a motor by itself."),
            ("other", "water, wind"),
        ],
    )
    def test_what_can_start_it_is_told_before_the_first_step(self, driver: str, words: str) -> None:
        first = made(driver).off[0]
        assert first.number == 1
        assert [caution.signal for caution in first.before] == ["WARNING"]
        assert words in first.before[0].text

    def test_a_blocked_drive_is_freed_only_to_be_turned_by_hand(self) -> None:
        found = made("other")
        assert "Leave the main drive (2) blocked" in the("spin", found.off).text
        assert "Take the block out" in the("turn", found.on).before[0].text
        for driver in ("engine", "motor"):
            assert the("turn", made(driver).on).before == ()

    def test_guards_before_the_first_start_are_a_warning(self) -> None:
        for driver in DRIVERS:
            run = made(driver).on[-1]
            assert run.kind == "run"
            assert run.before == (AFTER,)
        assert AFTER.signal == "WARNING"
        assert "guards" in AFTER.text
        assert "hands clear" in AFTER.text


class TestTensioned:
    @pytest.mark.parametrize(("driver", "belt", "how"), EVERY)
    def test_every_on_list_tells_how_the_belt_gets_tight(
        self, driver: str, belt: str, how: str
    ) -> None:
        kinds = [step.kind for step in made(driver, belt, how).on]
        tight = [kind for kind in kinds if kind in ("settle", "tighten", "walk")]
        assert len(tight) == 1
        assert kinds.index("on") < kinds.index(tight[0]) < kinds.index("turn")

    def test_without_a_tensioner_an_adjustable_pulley_is_moved(self) -> None:
        found = made()
        assert "Move the adjustable pulley" in the("tighten", found.on).text
        assert "as tight as its maker says" in the("tighten", found.on).text
        assert "If none can be moved" in the("slacken", found.off).text

    def test_a_bolted_swing_is_not_let_back_slowly(self) -> None:
        found = made(how="swing")
        assert "slowly" not in said(found)
        assert SPRUNG not in [caution for step in every(found) for caution in step.before]
        assert 'clockwise (from the front; towards "slack")' in the("slacken", found.off).text
        assert 'clockwise (from the front; towards "tight")' in the("tighten", found.on).text
        ways = [
            re.findall(r"(\w+) \(from the front", the(kind, steps).text)
            for kind, steps in (("slacken", found.off), ("tighten", found.on))
        ]
        assert sorted(ways) == [["clockwise"], ["counterclockwise"]]

    def test_both_ways_of_a_swing_are_turned_over_in_a_mirror(self) -> None:
        from beltpath.cards.view import View

        seen = View(mirrored=True)
        step = the("tighten", made(how="swing").on)
        front = re.findall(r"(\w+) \(from the front", step.text)
        back = re.findall(
            r"(\w+) in this picture \(towards \"tight\"\)", step.seen(seen.sense, mirrored=True)
        )
        assert {*front, *back} == {"clockwise", "counterclockwise"}

    def test_a_blocked_wheel_is_freed_before_every_step_that_turns_it(self) -> None:
        steps = made("other", belt="elastic").on
        for kind in ("walk", "turn"):
            assert UNBLOCKED in the(kind, steps).before

    def test_an_elastic_belt_is_cut_and_a_new_one_walked_on(self) -> None:
        found = made(belt="elastic")
        assert [step.kind for step in found.off] == ["compare", "cut", "spin"]
        assert [step.kind for step in found.on] == [
            "check",
            "thread",
            "on",
            "walk",
            "turn",
            "run",
        ]
        words = said(found)
        assert "does not go on again" in words
        assert "if it goes on again" not in words
        assert "lever over" not in words
        assert "Do not lever it." in the("on", found.on).text
        assert "by hand, the way it runs. Stop when the belt has walked on" in words
        assert "springs apart when it is cut" in the("cut", found.off).before[0].text

    @pytest.mark.parametrize("how", TENSIONERS)
    def test_the_tensioning_is_named(self, how: str) -> None:
        text = DRIVE.format(driver="engine", belt=BELTS["ribbed"], tensioner=TENSIONERS[how])
        assert tensioning(solve(parse(text))) == how


class TestWords:
    @pytest.mark.parametrize("how", TENSIONERS)
    def test_a_v_belt_has_no_ribs(self, how: str) -> None:
        assert "rib" not in said(made(belt="V", how=how))
        assert "rib" in said(made(how=how))

    @pytest.mark.parametrize(
        ("belt", "more", "words"),
        [
            ("ribbed", "length = 1030", "4PK1030, effective length 1030 mm."),
            ("double", "length = 1030", "4PK1030, double-sided, effective length 1030 mm."),
            ("elastic", "length = 1010", "4PK1010, stretch-fit, effective length 1010 mm."),
            ("V", "length = 1030", "AV13x1030, effective length 1030 mm."),
            ("V", "", "AV13, about 1114 mm computed; take the old belt along."),
            (
                "double",
                "",
                "4 PK, double-sided, about 1114 mm computed; take the old belt along.",
            ),
        ],
    )
    def test_the_belt_to_fit_is_named_whole(self, belt: str, more: str, words: str) -> None:
        assert the("check", made(belt=belt, more=more).on).text.startswith(f"Belt to fit: {words}")

    @pytest.mark.parametrize("belt", ["ribbed", "V", "double"])
    def test_the_direction_of_travel_is_marked_before_the_belt_is_slackened(
        self, belt: str
    ) -> None:
        steps = made(belt=belt).off
        assert "Mark its direction of travel on it if it goes on again." in steps[0].text

    @pytest.mark.parametrize(("driver", "belt", "how"), EVERY)
    def test_the_crank_is_looked_at_with_the_others(self, driver: str, belt: str, how: str) -> None:
        spin = the("spin", made(driver, belt, how).off)
        assert "main drive" in spin.text
        assert spin.pulleys == ("motor",)
        if driver != "other":
            assert "by hand, the way it runs" in spin.text

    def test_turning_by_hand_carries_the_belt_once_round(self) -> None:
        found = made()
        # Three spans and one whole turn of 100 mm: about 800 + 314 mm of belt, 314 mm a turn.
        assert "4 times: the belt goes once round" in the("turn", found.on).text

    @pytest.mark.parametrize(("driver", "belt", "how"), EVERY)
    def test_sentences_are_short(self, driver: str, belt: str, how: str) -> None:
        for sentence in re.split(r"(?<=[.])\s", said(made(driver, belt, how))):
            assert len(sentence.split()) <= 20, sentence

    def test_a_label_with_a_capital_has_no_article(self) -> None:
        words = said(made())
        assert "Big Fan (" in words or "1 Big Fan" in words or "Big Fan," in words
        assert "the Big Fan" not in words

    def test_two_pulleys_have_no_order_and_one_other(self) -> None:
        two = DRIVE.format(driver="motor", belt=BELTS["V"], tensioner="")
        two = two.replace(', "fan"', "")
        found = refit(solve(parse(two)))
        assert the("thread", found.on).text.startswith("Lay it round the main drive (1) first.")
        assert "off the other pulley." in the("rest", found.off).text
        assert "Spin the other pulley" in the("spin", found.off).text


class TestStates:
    @pytest.mark.parametrize(("driver", "belt", "how"), EVERY)
    def test_steps_are_numbered_in_each_half(self, driver: str, belt: str, how: str) -> None:
        found = made(driver, belt, how)
        for half, steps in (("Off", found.off), ("On", found.on)):
            assert {step.half for step in steps} == {half}
            assert [step.number for step in steps] == list(range(1, len(steps) + 1))

    @pytest.mark.parametrize(("driver", "belt", "how"), EVERY)
    def test_every_number_in_a_text_is_that_of_a_pulley_it_names(
        self, driver: str, belt: str, how: str
    ) -> None:
        found = made(driver, belt, how)
        for step in every(found):
            told = {int(number) for number in re.findall(r"\((\d+)\)", step.text)}
            if step.kind == "thread":
                told |= {int(number) for number in re.findall(r"[:,] (\d+) [a-zA-Z]", step.text)}
            assert told == {found.numbers[name] for name in step.pulleys}, step.text

    def test_the_belt_lies_where_the_steps_have_left_it(self) -> None:
        found = made(how="arm")
        assert [(s.kind, s.belt, s.place) for s in found.off] == [
            ("compare", "on", "stands"),
            ("slacken", "on", "slack"),
            ("off", "on", "slack"),
            ("settle", "loose", "free"),
            ("rest", "loose", "free"),
            ("spin", "none", "free"),
        ]
        assert [(s.kind, s.belt, s.place) for s in found.on] == [
            ("check", "none", "free"),
            ("thread", "loose", "free"),
            ("slacken", "loose", "slack"),
            ("on", "on", "slack"),
            ("settle", "on", "stands"),
            ("turn", "on", "stands"),
            ("run", "on", "stands"),
        ]

    def test_a_swing_stays_where_it_was_swung_to_until_it_is_tightened(self) -> None:
        found = made(how="swing")
        places = [step.place for step in every(found)]
        tight = len(found.off) + [step.kind for step in found.on].index("tighten")
        assert set(places[1:tight]) == {"slack"}
        assert set(places[tight:]) == {"stands"}

    @pytest.mark.parametrize(("belt", "how"), KINDS)
    def test_a_lever_is_held_from_over_to_back_and_then_only(self, belt: str, how: str) -> None:
        found = made(belt=belt, how=how)
        runs = [
            [step.kind for step in run]
            for half in (found.off, found.on)
            for run in held_runs(half)
            if len(run) > 1
        ]
        sprung = how in SPRUNG_KINDS
        assert runs == (
            [["slacken", "off", "settle"], ["slacken", "on", "settle"]] if sprung else []
        )
        assert sum(step.held for step in every(found)) == (4 if sprung else 0)


def test_only_a_sense_is_turned_over_in_a_mirror() -> None:
    def other(sense: Sense) -> Sense:
        return "clockwise" if sense == "counterclockwise" else "counterclockwise"

    for how in TENSIONERS:
        for step in every(made(how=how)):
            assert step.seen(other, mirrored=False) == step.text
            turned = "(from the front; " in step.text
            assert (step.seen(other, mirrored=True) != step.text) == turned

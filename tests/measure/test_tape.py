"""Tape nets: what comes out right, what is named as wrong, and what is refused.

Expected values come from the invented scene itself or from first principles; no outside source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

import numpy as np
import pytest

from beltpath.errors import LayoutError, UsageError
from beltpath.survey import Measurement, parse, solve
from tests.measure.scenes import LEVEL, PAIRS, Pair, Truth, head, miss, tapes

ABOVE = LEVEL + ', above = "pump"'
SQUARE = {"crank": (0.0, 0.0), "a": (300.0, 0.0), "b": (320.0, 280.0), "c": (-10.0, 260.0)}
SQUARE_PAIRS = [
    ("crank", "a"),
    ("a", "b"),
    ("b", "c"),
    ("c", "crank"),
    ("crank", "b"),
    ("a", "c"),
]
SQUARE_LEVEL = 'from = "crank", to = "a", angle = 0, above = "b"'
DIAMOND = {"crank": (0.0, 0.0), "a": (300.0, 0.0), "b": (120.0, 200.0), "c": (180.0, -150.0)}
DIAMOND_PAIRS = [("crank", "a"), ("crank", "b"), ("a", "b"), ("crank", "c"), ("a", "c")]
DIAMOND_LEVEL = 'from = "crank", to = "a", angle = 0'


def seven(**kwargs: Mapping[Pair, float] | Mapping[Pair, str]) -> Measurement:
    """The scene measured with 1 mm of noise, always the same draw."""
    draw = np.random.default_rng(7)
    return solve(parse(head(draw, level=ABOVE) + tapes(draw, **kwargs)))  # type: ignore[arg-type]


def refusal(text: str) -> list[str]:
    with pytest.raises(LayoutError) as caught:
        solve(parse(text))
    return [str(problem) for problem in caught.value.problems]


def plain(at: Mapping[str, tuple[float, float]]) -> dict[str, Truth]:
    """Pulleys of one size at given places, the first the crank."""
    return {
        name: Truth(place, "outside", 60.0, 30.0, 0.3, "grooved", "crank" if i == 0 else "other")
        for i, (name, place) in enumerate(at.items())
    }


def net(
    at: Mapping[str, tuple[float, float]],
    pairs: list[Pair],
    level: str,
    keys: Mapping[str, str] = {},
    slips: Mapping[Pair, float] = {},
) -> str:
    truths = plain(at)
    return head(names=at, level=level, keys=keys, truths=truths) + tapes(
        pairs=pairs, truths=truths, sigma=0.0, slips=slips
    )


class TestWithoutNoise:
    """Exact readings give the places back, whatever the tape ran over."""

    @pytest.mark.parametrize("kind", ["centres", "outside", "gap"])
    def test_exact(self, kind: str) -> None:
        over = dict.fromkeys(PAIRS, kind)
        found = solve(parse(head(level=ABOVE) + tapes(over=over)))
        assert max(miss(name, c.at) for name, c in found.centres.items()) < 1e-5
        assert found.usable
        assert found.rms_mm == pytest.approx(0.0, abs=1e-6)
        assert found.rms_px is None
        assert not found.suspects

    def test_two_readings_at_right_angles(self) -> None:
        """Seen from two places at right angles, both coordinates get the tape's own sigma."""
        at = {"crank": (0.0, 0.0), "a": (300.0, 0.0), "b": (150.0, 150.0)}
        pairs = [("crank", "a"), ("crank", "b"), ("a", "b")]
        level = 'from = "crank", to = "a", angle = 0, above = "b"'
        found = solve(parse(net(at, pairs, level)))
        assert found.centres["a"].sigma_xy[0] == pytest.approx(1.0, rel=1e-5)
        assert found.centres["a"].sigma_xy[1] == pytest.approx(0.0, abs=1e-9)
        assert found.centres["b"].sigma_xy[0] == pytest.approx(_crossing_sigma()[0], rel=1e-4)
        assert found.centres["b"].sigma_xy[1] == pytest.approx(_crossing_sigma()[1], rel=1e-4)
        assert found.doubts[0].startswith("nothing checks")


def _crossing_sigma() -> tuple[float, float]:
    """1 sigma of b by hand: x = (d² + r² − s²)/2d and y = sqrt(r² − x²), each reading ± 1.

    At d = 300, r = s = 150·√2, x = y = 150: ∂x/∂d = 1 − x/d, ∂x/∂r = r/d, ∂x/∂s = −s/d and
    ∂y = (r·∂r − x·∂x)/y.
    """
    d, r, x, y = 300.0, 150.0 * math.sqrt(2.0), 150.0, 150.0
    dx = np.array([1.0 - x / d, r / d, -r / d])
    dy = (np.array([0.0, r, 0.0]) - x * dx) / y
    return float(np.linalg.norm(dx)), float(np.linalg.norm(dy))


class TestOneSlip:
    """A wrong reading is named and left out; the places are right all the same."""

    @pytest.mark.parametrize("slip", [-100.0, -20.0, 20.0, 50.0])
    def test_named(self, slip: float) -> None:
        found = seven(slips={("crank", "idler"): slip})
        assert [s.pulleys for s in found.suspects] == [("crank", "idler")]
        assert found.suspects[0].kind == "tape"
        assert found.suspects[0].located
        assert "does not fit the others, which say" in found.suspects[0].message
        assert max(miss(name, c.at) for name, c in found.centres.items()) < 4.0
        left_out = [tape for tape in found.tapes if not tape.kept]
        assert [(tape.start, tape.end) for tape in left_out] == [("crank", "idler")]
        assert "# Left out: crank to idler centre to centre" in found.layout_text()

    def test_small_slips_stay_within_the_sigma(self) -> None:
        found = seven(slips={("crank", "idler"): 2.0})
        assert not found.suspects
        assert max(miss(name, c.at) for name, c in found.centres.items()) < 4.0

    def test_wrong_edge(self) -> None:
        """One reading taken rim to rim but written as centre to centre."""
        found = seven(slips={("crank", "pump"): -151.5})
        assert [s.pulleys for s in found.suspects] == [("crank", "pump")]

    def test_a_diameter_contradicted_by_many_rims(self) -> None:
        """Every reading over one pulley's rim is off by the same: its diameter is wrong."""
        over = {pair: "gap" for pair in PAIRS if "idler" in pair}
        slips = dict.fromkeys(over, -12.0)
        found = seven(over=over, slips=slips)
        assert [(s.kind, s.pulleys, s.located) for s in found.suspects] == [
            ("rim", ("idler",), False)
        ]
        # 24 mm more across than the 75.8 mm drawn for the file, as far as the readings can tell.
        assert "what was measured on it gives 102.3 ± 2.1 mm" in found.suspects[0].message


class TestSlipsThatCannotBeTold:
    """Where several readings may be the wrong one, all are named and no layout is written."""

    def test_one_check_only(self) -> None:
        """Six readings hold four places with one to spare: any of them may be wrong."""
        text = net(SQUARE, SQUARE_PAIRS, SQUARE_LEVEL, slips={("crank", "b"): 30.0})
        found = refusal(text)
        assert "crank to b centre to centre: 455.2 mm and the others disagree" in found[0]
        assert "it cannot be told whether it or crank to a centre to centre" in found[0]
        assert "or 2 more is wrong; measure these again" in found[0]

    def test_read_twice(self) -> None:
        """Two readings of one distance that disagree: one of them, nobody knows which."""
        at = {"crank": (0.0, 0.0), "a": (300.0, 0.0), "b": (120.0, 200.0)}
        truths = plain(at)
        text = head(
            names=at, level='from = "crank", to = "a", angle = 0, above = "b"', truths=truths
        )
        text += tapes(pairs=[("crank", "a"), ("crank", "b"), ("a", "b")], truths=truths, sigma=0.0)
        text += tapes(pairs=[("a", "b")], truths=truths, sigma=0.0, slips={("a", "b"): 15.0})
        found = solve(parse(text))
        assert not found.usable
        (suspect,) = found.suspects
        assert suspect.pulleys == ("a", "b")
        assert not suspect.located
        assert "whether it or a to b centre to centre is wrong" in suspect.message
        with pytest.raises(UsageError, match="no layout can be written from these measurements"):
            found.layout_text()

    def test_two_slips_in_seventeen(self) -> None:
        found = seven(slips={("crank", "idler"): 60.0, ("steering", "alternator"): -80.0})
        assert not found.usable
        named = {name for suspect in found.suspects for name in suspect.pulleys}
        assert {"crank", "idler", "steering", "alternator"} <= named

    def test_another_arrangement_explains_it_as_well(self) -> None:
        """A slip that carries the pump near its mirror image: two readings may be to blame."""
        draw = np.random.default_rng(1049)
        text = head(draw, level=ABOVE) + tapes(draw, slips={("pump", "compressor"): -50.0})
        found = solve(parse(text))
        assert not found.usable
        message = found.suspects[0].message
        assert "pump to compressor" in message
        assert "crank to pump" in message


class TestFlips:
    """A place that could as well be on the other side of a line is refused until the file says."""

    def test_mirror_image(self) -> None:
        draw = np.random.default_rng(7)
        (problem,) = refusal(head(draw) + tapes(draw))
        assert problem.startswith("line 6: level: tape readings fit the mirror image as well")

    def test_a_pulley_measured_from_two_places(self) -> None:
        level = DIAMOND_LEVEL + ', above = "b"'
        (problem,) = refusal(net(DIAMOND, DIAMOND_PAIRS, level))
        assert "pulleys.c: at (180, " in problem
        assert 'say above = "' in problem
        assert problem.endswith("or measure c to b")

    @pytest.mark.parametrize(
        "keys",
        [
            {"b": ', above = "crank"', "c": ', below = "crank"'},
            {"c": ', below = "b"', "b": ', above = "a"'},
        ],
    )
    def test_said_in_the_pulleys_tables(self, keys: dict[str, str]) -> None:
        text = net(DIAMOND, DIAMOND_PAIRS, DIAMOND_LEVEL, keys)
        if keys["c"] == ', below = "b"':
            # Both above, c the lower: that fits what is said too.
            (problem,) = refusal(text)
            assert "pulleys.c" in problem
            return
        found = solve(parse(text))
        for name, centre in found.centres.items():
            assert centre.at == pytest.approx(DIAMOND[name], abs=1e-4)

    def test_measured_across(self) -> None:
        level = DIAMOND_LEVEL + ', above = "b"'
        found = solve(parse(net(DIAMOND, [*DIAMOND_PAIRS, ("b", "c")], level)))
        for name, centre in found.centres.items():
            assert centre.at == pytest.approx(DIAMOND[name], abs=1e-4)

    def test_said_otherwise_than_measured(self) -> None:
        level = DIAMOND_LEVEL + ', above = "c"'
        keys = {"c": ', left_of = "crank"'}
        found = refusal(net(DIAMOND, [*DIAMOND_PAIRS, ("b", "c")], level, keys))
        said = "is not so in any arrangement that fits what was measured; check both"
        assert found == [f"line 15: pulleys.c.left_of: {said}"]

    def test_upside_down(self) -> None:
        """A level line that points left: above is still up."""
        level = 'from = "a", to = "crank", angle = 180, above = "b"'
        found = solve(parse(net(DIAMOND, [*DIAMOND_PAIRS, ("b", "c")], level)))
        assert found.centres["b"].at == pytest.approx(DIAMOND["b"], abs=1e-4)

    def test_two_that_flip_apart(self) -> None:
        """Each is told once, and not again in the arrangement where both are flipped."""
        at = {**DIAMOND, "d": (260.0, 220.0)}
        pairs = [*DIAMOND_PAIRS, ("a", "d"), ("b", "d")]
        found = refusal(net(at, pairs, DIAMOND_LEVEL + ', above = "b"'))
        assert sorted(line.split(": ")[1] for line in found) == ["pulleys.c", "pulleys.d"]

    def test_two_that_flip_together(self) -> None:
        """Two pulleys that hang together on two others flip as one."""
        at = {**DIAMOND, "d": (60.0, -180.0)}
        pairs = [*DIAMOND_PAIRS, ("c", "d"), ("crank", "d"), ("a", "d")]
        level = DIAMOND_LEVEL + ', above = "b"'
        (problem,) = refusal(net(at, pairs, level))
        assert "pulleys.d: at (60, " in problem or "pulleys.c: at (180, " in problem
        assert "with it," in problem
        assert solve(parse(net(at, [*pairs, ("b", "d")], level))).usable


class TestWeakNets:
    """What no reading holds is named, with the reading to take next."""

    def test_loose_pulley(self) -> None:
        at = {"crank": (0.0, 0.0), "a": (300.0, 0.0), "b": (120.0, 200.0)}
        level = 'from = "crank", to = "a", angle = 0'
        found = refusal(net(at, [("crank", "a"), ("crank", "b")], level))
        assert found == [
            "line 13: pulleys.b: no reading holds its place; measure it from more places",
            "measure next, centre to centre: a to b",
        ]

    def test_two_bodies_on_a_hinge(self) -> None:
        at = {
            "crank": (0.0, 0.0),
            "a": (300.0, 0.0),
            "b": (120.0, 200.0),
            "c": (-200.0, 10.0),
            "d": (-150.0, 200.0),
        }
        pairs = [
            ("crank", "a"),
            ("crank", "b"),
            ("a", "b"),
            ("crank", "c"),
            ("crank", "d"),
            ("c", "d"),
        ]
        level = 'from = "crank", to = "a", angle = 0'
        found = refusal(net(at, pairs, level))
        assert {line.split(": ")[1] for line in found[:-1]} == {"pulleys.c", "pulleys.d"}
        assert found[-1].startswith("measure next, centre to centre: ")

    def test_collinear_pulleys(self) -> None:
        """On one line, readings along it do not hold the middle pulley across it."""
        at = {"crank": (0.0, 0.0), "a": (400.0, 0.0), "b": (200.0, 0.0)}
        level = 'from = "crank", to = "a", angle = 0'
        found = refusal(net(at, [("crank", "a"), ("crank", "b"), ("a", "b")], level))
        assert found[0].startswith("line 13: pulleys.b: ")
        assert "holds its place" in found[0] or "is held only to ±" in found[0]

    def test_many_loose_pulleys(self) -> None:
        at = {"crank": (0.0, 0.0)} | {f"p{i}": (100.0 * i, 50.0) for i in range(1, 8)}
        pairs = [("crank", f"p{i}") for i in range(1, 8)]
        found = refusal(net(at, pairs, 'from = "crank", to = "p1", angle = 26'))
        assert "2 more places are held too weakly" in found
        assert found[-1].count("then") == 3

    def test_every_pair_measured_and_still_weak(self) -> None:
        """Nothing left to measure between centres: only the weakness is told."""
        at = {"crank": (0.0, 0.0), "a": (400.0, 0.0), "b": (200.0, 1.0)}
        level = 'from = "crank", to = "a", angle = 0'
        found = refusal(net(at, [("crank", "a"), ("crank", "b"), ("a", "b")], level))
        assert found[-1].startswith("no further reading between these centres helps")

    def test_next_reading_helps_as_told(self) -> None:
        """Taking the reading that is proposed gives the sigma that was promised."""
        draw = np.random.default_rng(3)
        text = head(draw, level=ABOVE) + tapes(draw)
        before = solve(parse(text))
        proposed = before.next_reading
        assert proposed is not None
        after = solve(parse(text + tapes(pairs=[(proposed.start, proposed.end)])))

        def worst(found: Measurement) -> float:
            blocks = [found.covariance[i : i + 2, i : i + 2] for i in range(0, 14, 2)]
            return math.sqrt(max(np.linalg.eigvalsh(block).max() for block in blocks))

        assert worst(after) == pytest.approx(proposed.worst_after, rel=0.02)
        assert worst(after) < worst(before)


class TestScatter:
    """Readings that scatter more than stated widen the ±, or are refused."""

    def every(self, sigma: float, stated: str) -> Measurement:
        draw = np.random.default_rng(5)
        pairs = [(one, other) for i, one in enumerate(NAMES) for other in NAMES[i + 1 :]]
        text = head(draw, level=ABOVE, top=f"accuracy = {stated}")
        return solve(parse(text + tapes(draw, pairs=[*pairs, *PAIRS], sigma=sigma)))

    def test_widened(self) -> None:
        found = self.every(2.0, "0.8")
        assert not found.suspects
        assert "times more than their accuracy says; the ± was widened to match" in found.doubts[0]
        sharp = self.every(2.0, "2.0")
        ratio = found.centres["pump"].sigma / sharp.centres["pump"].sigma
        assert 0.7 < ratio < 1.4

    def test_refused(self) -> None:
        found = self.every(3.0, "0.3")
        assert [(s.kind, s.located) for s in found.suspects][-1] == ("scatter", False)
        assert not found.usable

    def test_few_checks(self) -> None:
        """Too few to tell the scatter from, no single one beyond its limit, all of them poor."""
        at = SQUARE
        pairs = SQUARE_PAIRS * 2
        slips = {("crank", "b"): 3.0, ("a", "c"): 3.0}
        truths = plain(at)
        text = head(names=at, level=SQUARE_LEVEL, truths=truths)
        text += tapes(pairs=pairs[:6], truths=truths, sigma=0.0, slips=slips)
        text += tapes(
            pairs=pairs[6:], truths=truths, sigma=0.0, slips={("crank", "a"): 4.5, ("b", "c"): 4.5}
        )
        found = solve(parse(text))
        assert [s.kind for s in found.suspects] == ["scatter"]
        assert "no single one stands out" in found.suspects[0].message
        assert not found.usable


NAMES = ("crank", "pump", "steering", "idler", "alternator", "compressor", "tensioner")


class TestErrorInEveryReading:
    """What the page says of a worn hook: 3 mm go unnoticed, 6 mm are refused."""

    @staticmethod
    def hooked(by: float) -> Measurement:
        draw = np.random.default_rng(7)
        text = head(draw, level=f'{LEVEL}, above = "pump"') + tapes(draw)
        return solve(
            parse(re.sub(r"distance = (.*)", lambda m: f"distance = {float(m[1]) + by}", text))
        )

    def test_small(self) -> None:
        found = self.hooked(3.0)
        assert not found.suspects
        assert miss("alternator", found.centres["alternator"].at) == pytest.approx(4.0, abs=0.1)

    def test_large(self) -> None:
        assert not self.hooked(6.0).usable


class TestWhatCannotBeSeen:
    def test_a_slanted_tape(self) -> None:
        """60 mm apart in depth over 182 mm: hypot(182.2, 60) − 182.2 = 9.6 mm."""
        text = head(level=ABOVE, keys={"steering": ", depth = 60"}) + tapes()
        told = [c for c in solve(parse(text)).doubts if "held square" in c]
        assert len(told) == sum("steering" in pair for pair in PAIRS)
        (pump,) = [c for c in told if c.startswith("the tape from pump to steering")]
        assert "would read 9.6 mm more" in pump
        assert "stand 60 mm apart" in pump
        assert not any("held square" in c for c in solve(parse(head(level=ABOVE) + tapes())).doubts)

    def test_a_pivot_in_numbers(self) -> None:
        arm = '[tensioner]\npulley = "tensioner"\nkind = "arm"\nfree = 60\nload = 20\n'
        found = solve(parse(head(level=ABOVE) + tapes() + f"{arm}pivot = [30, 40]\n"))
        (told,) = [c for c in found.doubts if c.startswith("tensioner.pivot")]
        assert "off by 1 degree it would stand 0.9 mm wrong" in told

    def test_an_arm_outside_its_stops(self) -> None:
        """The pulley at (85, 165) seen from (30, 40) stands at 66.3°, a turn less at −293.7°."""
        arm = '[tensioner]\npulley = "tensioner"\nkind = "arm"\npivot = [30, 40]\n'
        net = head(level=ABOVE) + tapes() + arm

        def told(free: float, load: float) -> list[str]:
            found = solve(parse(f"{net}free = {free}\nload = {load}\n"))
            return [c for c in found.doubts if "outside its stops" in c]

        assert told(64, 20) == []
        assert told(-300, -280) == []
        (beyond,) = told(50, 20)
        assert beyond.startswith("the tensioner's arm would stand at 66°, outside its stops (50 to")

"""Random sound drives always give a card, and the card keeps the laws of placement."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import beltpath
from beltpath.cards import Options, card
from beltpath.cards.diagram import frame_for, kept_in
from beltpath.cards.paper import PAPER_NAMES, Box, PaperName
from beltpath.cards.scene import Disc, Pen
from beltpath.cards.view import Frame, View
from tests.card.judge import faults, texts_on_texts, unprintable
from tests.drives import arm, drive, grooved, smooth
from tests.strategies import Made, drives, layout_of, tensioned

#: A card takes a tenth of a second: few are tried here, many by the demos.
few = settings(max_examples=6)


class TestAnySoundDrive:
    """Every front page keeps the laws, whatever the drive."""

    @few
    @given(tensioned())
    def test_with_a_tensioner_on_a5(self, made: Made) -> None:
        keeps_the_laws(made, Options(paper="a5"))

    @few
    @given(
        drives(double_sided=True),
        st.sampled_from(PAPER_NAMES),
        st.booleans(),
        st.booleans(),
        st.floats(-180.0, 180.0),
    )
    def test_double_sided_in_any_view(
        self, made: Made, paper: PaperName, landscape: bool, mirrored: bool, turned: float
    ) -> None:
        keeps_the_laws(
            made,
            Options(paper=paper, landscape=landscape, mirrored=mirrored, turned=turned),
        )


def keeps_the_laws(made: Made, options: Options) -> None:
    study = beltpath.study(layout_of(made.data))
    # A spring that overloads the belt is a fault: such a card leaves its names less room.
    assume(study.verdict != "fail")
    front = card(study, options).pages[0]
    found = [*faults(front, study), *unprintable(front)]
    assert found == []


#: An arm whose pivot stands further out than anything else of the drive.
FAR_PIVOT = drive(
    {
        "crank": grooved(0, 0, 120, "crank"),
        "tensioner": smooth(85, 130, 80, "tensioner"),
        "pump": grooved(0, 260, 120),
    },
    route=["crank", "pump", "tensioner"],
    tensioner=arm("tensioner", (900, 130), free=183, load=178),
    ribs=6,
    title="Pivot at the far right",
)


@pytest.mark.parametrize("paper", PAPER_NAMES)
def test_an_arm_from_outside_stays_in_the_drawing(paper: PaperName) -> None:
    study = beltpath.study(beltpath.parse(FAR_PIVOT))
    front = card(study, Options(paper=paper)).pages[0]
    assert list(faults(front, study)) == []


def test_a_drawing_that_is_inside_already_stays_as_it_is() -> None:
    box, world = Box(x=0.0, y=0.0, width=80.0, height=60.0), Box(x=-9, y=-9, width=18, height=18)
    frame = frame_for(world, box.shrunk(5.0), View(), 1.0)
    assert kept_in(box, world, frame, lambda _: ()) == frame


def test_a_sign_that_stands_out_moves_the_drawing_before_it_is_made_smaller() -> None:
    box, world = Box(x=0.0, y=0.0, width=80.0, height=60.0), Box(x=-9, y=-9, width=18, height=18)
    frame = frame_for(world, box, View(), 1.0)

    def sign(reach: float) -> Callable[[Frame], tuple[Disc]]:
        return lambda there: (
            Disc(centre=(there.origin[0] + reach, there.origin[1]), radius=1.0, pen=Pen(width=0.2)),
        )

    moved = kept_in(box, world, frame, sign(45.0))
    assert moved.scale == frame.scale
    assert moved.origin[1] == frame.origin[1]
    assert sign(45.0)(moved)[0].box.right == pytest.approx(box.right)
    smaller = kept_in(box, world, frame, sign(69.0))
    assert smaller.scale < frame.scale
    assert sign(69.0)(smaller)[0].box.right <= box.right + 1e-9


def test_signs_larger_than_the_box_end_the_search() -> None:
    box, world = Box(x=0.0, y=0.0, width=20.0, height=20.0), Box(x=-9, y=-9, width=18, height=18)
    huge = Disc(centre=(10.0, 10.0), radius=30.0, pen=Pen(width=0.2))
    found = kept_in(box, world, frame_for(world, box, View(), 1.0), lambda _: (huge,))
    assert 0.0 < found.scale < 1.0


SHORT = drive(
    {"hub": grooved(0, 0, 120, "crank"), "fan": grooved(260, 40, 120, "fan")},
    ribs=6,
    title="Short names",
)


def test_every_heading_of_the_table_has_room() -> None:
    made = card(beltpath.study(beltpath.parse(SHORT)), Options(paper="a6"))
    assert [told for page in made.pages for told in texts_on_texts(page)] == []


@pytest.mark.parametrize("count", [12, 30])
def test_many_pulleys_are_all_drawn(count: int) -> None:
    """A ring of pulleys, each a third of its diameter away from the next."""
    radius = 80.0 * count / pi
    places = [
        (
            radius * cos(pi - 2 * pi * i / (count + 1)) + radius,
            radius * sin(2 * pi * i / (count + 1)),
        )
        for i in range(1, count + 1)
    ]
    pulleys = {"crank": grooved(0, 0, 120, "crank")}
    pulleys |= {f"p{i}": grooved(x, y, 120, "other") for i, (x, y) in enumerate(places)}
    study = beltpath.study(beltpath.parse(drive(pulleys, ribs=6)))
    assert study.path.proper
    front = card(study, Options(paper="a5")).pages[0]
    assert list(faults(front, study)) == []

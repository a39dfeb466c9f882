"""Paper: sizes from ISO 216 and ANSI/ASME Y14.1, orientation, margins; and boxes."""

from __future__ import annotations

from math import sqrt

import pytest

from beltpath.cards.paper import MARGIN, PAPER_NAMES, SIZES, Box, PaperName, paper

#: ISO 216: the A series has the ratio 1 to √2, each size half of the one before, whole mm.
ISO: tuple[PaperName, ...] = ("a4", "a5", "a6")


class TestSizes:
    def test_iso_216(self) -> None:
        assert [SIZES[name] for name in ISO] == [(210, 297), (148, 210), (105, 148)]
        for name in ISO:
            short, long = SIZES[name]
            assert long / short == pytest.approx(sqrt(2.0), abs=0.006)

    def test_letter_is_eight_and_a_half_by_eleven_inches(self) -> None:
        assert SIZES["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
        assert SIZES["half-letter"] == pytest.approx((5.5 * 25.4, 8.5 * 25.4))

    @pytest.mark.parametrize("name", PAPER_NAMES)
    def test_landscape_is_portrait_on_its_side(self, name: PaperName) -> None:
        upright, lying = paper(name), paper(name, landscape=True)
        assert (upright.width, upright.height) == (lying.height, lying.width) == SIZES[name]
        assert lying.landscape
        assert not upright.landscape

    @pytest.mark.parametrize("landscape", [False, True])
    @pytest.mark.parametrize("name", PAPER_NAMES)
    def test_the_printable_box_leaves_the_margin_on_every_side(
        self, name: PaperName, landscape: bool
    ) -> None:
        sheet = paper(name, landscape=landscape)
        box = sheet.printable
        assert box.x == box.y == MARGIN
        assert sheet.width - box.right == pytest.approx(MARGIN)
        assert sheet.height - box.bottom == pytest.approx(MARGIN)


class TestBox:
    BOX = Box(x=10.0, y=20.0, width=30.0, height=40.0)

    def test_edges_and_middle(self) -> None:
        assert (self.BOX.right, self.BOX.bottom, self.BOX.centre) == (40.0, 60.0, (25.0, 40.0))

    def test_shrunk(self) -> None:
        assert self.BOX.shrunk(2.0) == Box(x=12.0, y=22.0, width=26.0, height=36.0)

    @pytest.mark.parametrize(
        ("other", "held"),
        [
            (Box(x=10.0, y=20.0, width=30.0, height=40.0), True),
            (Box(x=15.0, y=25.0, width=5.0, height=5.0), True),
            (Box(x=9.0, y=25.0, width=5.0, height=5.0), False),
            (Box(x=15.0, y=19.0, width=5.0, height=5.0), False),
            (Box(x=36.0, y=25.0, width=5.0, height=5.0), False),
            (Box(x=15.0, y=56.0, width=5.0, height=5.0), False),
        ],
    )
    def test_holds(self, other: Box, held: bool) -> None:
        assert self.BOX.holds(other) is held

    def test_slack_forgives_rounding(self) -> None:
        assert self.BOX.holds(Box(x=10.0 - 1e-9, y=20.0, width=30.0, height=40.0))
        assert self.BOX.holds(Box(x=9.5, y=20.0, width=30.0, height=40.0), slack=0.6)

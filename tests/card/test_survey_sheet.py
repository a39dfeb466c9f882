"""The sheet of what was measured: all of it is there, inside the paper, and legible."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from beltpath.cards import Card, Options
from beltpath.cards.paper import PAPER_NAMES, Box, PaperName
from beltpath.cards.scene import Curve, Disc, Group, Item, Words
from beltpath.cards.survey_sheet import survey_card
from beltpath.cards.text import LEAST_SIZE
from beltpath.layout.layout import without_text
from beltpath.survey import Measurement, parse, solve
from tests.measure.demos import FOLDER
from tests.measure.scenes import Camera, clicked, head, photo, tapes

DEMOS = sorted(path.stem for path in FOLDER.glob("*.toml"))


def measured(name: str) -> Measurement:
    return solve(parse((FOLDER / f"{name}.toml").read_text(encoding="utf-8"), name=name))


SOLVED = {name: measured(name) for name in DEMOS}


def sheet(measurement: Measurement, options: Options | None = None) -> Card:
    layout = without_text(measurement.survey.layout, name="survey")
    return survey_card(measurement, options or Options(paper="a4"), layout)


def every(items: tuple[Item, ...]) -> Iterator[Item]:
    for item in items:
        if isinstance(item, Group):
            yield from every(item.items)
        else:
            yield item


def group(card: Card, name: str, page: int = 0) -> Group:
    (found,) = [g for g in card.pages[page].items if isinstance(g, Group) and g.name == name]
    return found


def words(card: Card) -> list[str]:
    return [i.text for page in card.pages for i in every(page.items) if isinstance(i, Words)]


def apart(one: Box, other: Box) -> bool:
    return (
        one.x >= other.right - 0.01
        or other.x >= one.right - 0.01
        or one.y >= other.bottom - 0.01
        or other.y >= one.bottom - 0.01
    )


@pytest.mark.parametrize("paper", PAPER_NAMES)
@pytest.mark.parametrize("name", DEMOS)
class TestEverySheet:
    def test_all_lies_on_the_paper(self, name: str, paper: PaperName) -> None:
        options = Options(paper=paper)
        for page in sheet(SOLVED[name], options).pages:
            for item in page.items:
                assert options.sheet.printable.holds(item.box, slack=0.3), item

    def test_no_text_is_too_small_or_lies_on_another(self, name: str, paper: PaperName) -> None:
        for page in sheet(SOLVED[name], Options(paper=paper)).pages:
            lists = [g for g in page.items if isinstance(g, Group) and g.name != "numbers"]
            texts = [i for g in lists for i in every((g,)) if isinstance(i, Words) and i.text]
            assert all(text.size >= LEAST_SIZE for text in texts)
            inked = [replace_height(text) for text in texts]
            for i, one in enumerate(inked):
                assert all(apart(one, other) for other in inked[i + 1 :]), texts[i].text

    def test_every_remark_and_every_reading_is_told(self, name: str, paper: PaperName) -> None:
        measurement = SOLVED[name]
        said = " ".join(words(sheet(measurement, Options(paper=paper))))
        for centre in measurement.centres.values():
            assert f"{centre.at[0] + 0.0:.1f}" in said
        for tape in measurement.tapes:
            assert f"{tape.measured:.1f}" in said
        for suspect in measurement.suspects:
            assert suspect.message[1:] in said
        for caution in measurement.doubts:
            assert caution[1:] in said
        assert said.count("Caution:") == len(measurement.doubts)
        assert said.count("Doubtful:") == len(measurement.suspects)


def replace_height(text: Words) -> Box:
    """What a line of text inks: its capitals, less than its line."""
    box = text.box
    return Box(x=box.x, y=box.y + 0.3, width=box.width, height=box.height - 0.6)


class TestDrawing:
    def test_rims_and_points(self) -> None:
        measurement = SOLVED["workboat-photo"]
        discs = [i for i in group(sheet(measurement), "rims").items if isinstance(i, Disc)]
        rims = [disc for disc in discs if disc.pen.fill is None]
        assert len(rims) == 7
        assert len(discs) - len(rims) == 84
        scale = rims[0].radius / measurement.survey.targets["crank"].radius  # type: ignore[operator]
        for rim, target in zip(rims, measurement.survey.targets.values(), strict=True):
            assert rim.radius == pytest.approx(scale * (target.radius or 0.0))

    def test_a_point_left_out_is_a_ring(self) -> None:
        points = clicked(None, Camera())
        points["pump"][3] = [points["pump"][3][0] + 120.0, points["pump"][3][1]]
        found = solve(parse(head() + photo(points)))
        assert [s.kind for s in found.suspects] == ["click"]
        discs = [i for i in group(sheet(found), "rims").items if isinstance(i, Disc)]
        assert sum(d.pen.stroke == "fault" for d in discs) == 1

    def test_every_reading_has_its_line_and_number_and_one_left_out_is_double(self) -> None:
        card = sheet(SOLVED["sprayer-slip"])
        lines = [i for i in group(card, "net").items if isinstance(i, Curve)]
        dashed = [item for item in lines if item.pen.dash]
        assert len(dashed) == 17
        assert len(lines) - len(dashed) == 2
        texts = [i.text for i in group(card, "numbers").items if isinstance(i, Words)]
        assert texts == [
            *("1 crank", "2 tensioner", "3 alternator", "4 fan", "5 idler", "6 pump", "7"),
            *map(str, range(1, 19)),
        ]
        assert "left out" in words(card)

    @pytest.mark.parametrize("paper", PAPER_NAMES)
    @pytest.mark.parametrize("name", DEMOS)
    def test_numbers_stand_clear_of_one_another(self, name: str, paper: PaperName) -> None:
        """On a small paper some readings go without; their ends stand in the list."""
        numbers = group(sheet(SOLVED[name], Options(paper=paper)), "numbers").items
        boxes = [item.box for item in numbers if isinstance(item, Words)]
        for i, one in enumerate(boxes):
            assert all(apart(one, other) for other in boxes[i + 1 :])

    def test_ellipses_hold_what_the_covariance_says(self) -> None:
        """The ellipse's half width is 10·2.448·sigma_x on the drawing's scale."""
        measurement = SOLVED["sprayer-tape"]
        card = sheet(measurement)
        curves = [i for i in group(card, "ellipses").items if isinstance(i, Curve) and i.closed]
        rims = [i for i in group(card, "rims").items if isinstance(i, Disc)]
        scale = rims[0].radius / measurement.survey.targets["crank"].radius  # type: ignore[operator]
        named = [c for c in measurement.centres.values() if c.sigma]
        assert len(curves) == len(named)
        for curve, centre in zip(curves, named, strict=True):
            half = (curve.box.width - curve.pen.width) / 2.0
            assert half == pytest.approx(scale * 24.4775 * centre.sigma_xy[0], rel=0.01)

    def test_mirrored(self) -> None:
        card = sheet(SOLVED["sprayer-tape"], Options(paper="a4", mirrored=True))
        assert "from behind" in " ".join(words(card))


def test_same_bytes() -> None:
    one, other = (sheet(measured("workboat-both")).svg_pages for _ in range(2))
    assert one == other


def test_odd_names_are_text_in_the_file(tmp_path: Path) -> None:
    text = head(np.random.default_rng(4)) + tapes(np.random.default_rng(4))
    text = text.replace("[level]\n", '[level]\nabove = "pump"\n')
    text = text.replace("idler =", '"<&\\"" =').replace('"idler"', '"<&\\""')
    text = text.replace('role = "<&\\""', 'role = "idler"')
    (page,) = sheet(solve(parse(text))).svg_pages[:1]
    assert "&lt;&amp;" in page

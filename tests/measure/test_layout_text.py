"""Places too uncertain to be a layout are refused by the key of the file that makes them so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from beltpath.errors import LayoutError
from beltpath.survey import Survey, parse, solve
from tests.measure.scenes import Camera, clicked, head, photo, tapes

DEMO = Path("layouts/measure/sprayer-tape.toml").read_text(encoding="utf-8")


def refused(survey: Survey) -> str:
    """What is said of places that stand 150 mm uncertain."""
    found = solve(parse(DEMO))
    one = next(iter(found.centres.values()))
    vague = {name: one.model_copy(update={"name": name, "sigma": 150.0}) for name in survey.targets}
    with pytest.raises(LayoutError) as caught:
        replace(found, survey=survey, centres=vague).layout_text()
    (problem,) = caught.value.problems
    return str(problem)


def test_the_accuracy_of_all_readings_is_blamed_by_its_own_key() -> None:
    assert "accuracy = 1.0" in DEMO
    with pytest.raises(LayoutError) as caught:
        solve(parse(DEMO.replace("accuracy = 1.0", "accuracy = 95", 1))).layout_text()
    (problem,) = caught.value.problems
    assert problem.path == "accuracy"
    assert problem.line == 7
    assert problem.message.endswith("measure closer, or say how well you measured")


def test_the_accuracy_of_one_reading_is_blamed_by_its_own_key() -> None:
    second = 'over = "centres"\naccuracy = 900\n'.join(
        tapes().replace('over = "centres"\n', "\0").split("\0")[:2]
    )
    rest = 'over = "centres"\n'.join(tapes().replace('over = "centres"\n', "\0").split("\0")[2:])
    told = refused(parse(head() + second + 'over = "centres"\n' + rest))
    assert 'tape.1.accuracy: the place of "crank" comes out uncertain by 150 mm' in told


def test_a_photographs_accuracy_is_blamed_where_the_file_has_it() -> None:
    points = clicked(None, Camera())
    assert "photo.accuracy: the place of " in refused(
        parse(head() + photo(points, "accuracy = 900"))
    )
    assert refused(parse(head() + photo(points))).startswith("the place of ")

"""An inch layout is the same drive as its millimetre twin; so are the styles of writing it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.layout.reader import parse
from beltpath.solve.path import trace
from beltpath.solve.tensioner import stand
from beltpath.solve.uncertainty import length_uncertainty
from tests.strategies import Data, Made, law, layout_of, tensioned, toml_of

MM = 25.4
LENGTHS = ("diameter", "outside", "over_balls", "around", "rim", "offset", "accuracy")


def _in_inches(data: Data) -> Data:
    pulleys = {
        name: {key: _inch(key, value) for key, value in pulley.items()}
        for name, pulley in data["pulleys"].items()
    }
    belt = {
        key: value / MM if key in ("length", "tolerance", "back", "height") else value
        for key, value in data["belt"].items()
    }
    t = dict(data["tensioner"])
    if t["kind"] == "slide":
        t |= {"free": t["free"] / MM, "load": t["load"] / MM}
        spring = t["spring"]
        t["spring"] = {**spring, "at": spring["at"] / MM, "rate": spring["rate"] * MM}
    else:
        t["pivot"] = [v / MM for v in t["pivot"]]
    return {
        **data,
        "units": "in",
        "accuracy": data["accuracy"] / MM,
        "pulleys": pulleys,
        "belt": belt,
        "tensioner": t,
    }


def _inch(key: str, value: object) -> object:
    if key == "at" and isinstance(value, list):
        return [v / MM for v in value]
    return value / MM if key in LENGTHS and isinstance(value, float) else value


class TestInches:
    """Units are only how the file is written: everything that comes out is the same."""

    @law
    @given(tensioned(), st.floats(-1.0, 1.0), st.floats(1.5, 2.5))
    def test_same_drive(self, made: Made, offset: float, back: float) -> None:
        data = {**made.data, "belt": {**made.data["belt"], "section": "PK", "back": back}}
        name = data["route"][0]
        pulley = {**data["pulleys"][name], "offset": offset, "rim": 200.0, "accuracy": 0.5}
        data = {**data, "pulleys": {**data["pulleys"], name: pulley}}
        one, other = layout_of(data), layout_of(_in_inches(data))
        assert other.units == "in"
        assert other.pulleys[name].rim == pytest.approx(200.0)
        assert other.pulleys[name].offset == pytest.approx(offset)
        path, twin = trace(one), trace(other)
        assert twin.length == pytest.approx(path.length, rel=1e-12)
        stands, twin_stands = stand(one, path), stand(other, twin)
        assert stands is not None
        assert twin_stands is not None
        assert twin_stands.position == pytest.approx(stands.position, abs=1e-9)
        assert twin_stands.rate == pytest.approx(stands.rate, rel=1e-9)
        assert twin_stands.tension == pytest.approx(stands.tension, rel=1e-9)
        assert twin_stands.longest == pytest.approx(stands.longest, rel=1e-12)
        assert length_uncertainty(other, twin).sigma == pytest.approx(
            length_uncertainty(one, path).sigma, rel=1e-9
        )


class TestStyles:
    """Inline tables, table headers and dotted keys say the same, and line ends do not matter."""

    @law
    @given(tensioned())
    def test_same_layout(self, made: Made) -> None:
        one = layout_of(made.data)
        for style in ("headers", "dotted"):
            assert parse(toml_of(made.data, style=style)) == one

    @law
    @given(tensioned())
    def test_line_ends_and_mark(self, made: Made) -> None:
        text = toml_of(made.data)
        one = parse(text)
        assert parse("\ufeff" + text.replace("\n", "\r\n")) == one
        assert parse("\ufeff" + text).digest == one.digest

    @law
    @given(tensioned())
    def test_digest_tells_texts_apart(self, made: Made) -> None:
        text = toml_of(made.data)
        one, other = parse(text), parse(text + "# changed\n")
        assert one.digest != other.digest
        assert len(one.digest) == 8
        # The digest traces a file; it is no part of the facts.
        assert one == other

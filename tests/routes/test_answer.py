"""The JSON answer of a search, and a route written into its layout file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import beltpath
from beltpath.errors import LayoutError
from beltpath.layout.reader import parse
from beltpath.output.routes_answer import routes_answer, write_route
from beltpath.ranking.find import find_routes
from beltpath.ranking.rank import RankedRoute
from beltpath.studies import study

LAYOUTS = Path(__file__).parents[2] / "layouts"
PRESS = (LAYOUTS / "found/hay-press.toml").read_text(encoding="utf-8")
TILLER = (LAYOUTS / "found-tiller.toml").read_text(encoding="utf-8")


def best(text: str) -> RankedRoute:
    """The likeliest way of a layout text."""
    return find_routes(parse(text)).ranked[0]


class TestAnswer:
    """The answer is plain values, with everything that a route has to say."""

    def test_a_route(self) -> None:
        search = find_routes(parse(PRESS))
        answer = json.loads(json.dumps(routes_answer(search), allow_nan=False))
        assert answer["title"] == "Hay press, engine end"
        assert answer["units"] == "mm"
        assert answer["given_length_mm"] == 2045
        assert answer["summary"] == "16 ways found."
        assert (answer["complete"], answer["unreachable"]) == (True, [])
        assert answer["work"] == search.work
        first = answer["candidates"][0]
        assert first["route"] == list(search.ranked[0].route)
        assert first["contacts"][1] == {
            "pulley": "tensioner",
            "side": "back",
            "turns": "counterclockwise",
        }
        assert first["left_out"] == []
        assert first["effective_length_mm"] == pytest.approx(2045.0)
        assert first["fit"]["fits"] is True
        assert first["fit"]["position"] == pytest.approx(33.5, abs=0.05)
        assert set(first["fit"]) == {
            *("fits", "off_mm", "shortest_mm", "longest_mm", "position"),
            *("in_window", "tightens", "as_measured"),
        }
        assert first["verdict"] == "caution"
        assert first["reasons"] == list(search.ranked[0].reasons)
        assert first["findings"][0].keys() == {"check", "level", "pulleys", "message", "source"}

    def test_the_others(self) -> None:
        answer = routes_answer(find_routes(parse(PRESS)))
        assert len(answer["others"]) == 12
        other = answer["others"][0]
        assert other["shortest_mm"] <= other["longest_mm"]
        assert [contact["pulley"] for contact in other["contacts"]] == other["route"]
        assert {contact["turns"] for contact in other["contacts"]} <= {
            "clockwise",
            "counterclockwise",
        }


class TestWriting:
    """A route written into a layout reads back as that route, and nothing else has changed."""

    def test_into_a_layout_without_one(self) -> None:
        route = best(PRESS)
        written = write_route(PRESS, route)
        layout = parse(written)
        assert layout.route == route.route
        kept = [line for line in written.splitlines() if not line.startswith("route")]
        assert [line for line in kept if line] == [line for line in PRESS.splitlines() if line]

    def test_findings_are_those_that_were_told(self) -> None:
        for route in find_routes(parse(PRESS)).ranked:
            again = study(parse(write_route(PRESS, route)))
            assert again.path.sides == route.sides
            told = [f for f in again.findings if f.check not in ("look-alike", "agreement")]
            assert tuple(told) == route.findings

    def test_over_a_route_with_the_sides_it_needs(self) -> None:
        wrong = find_routes(parse(TILLER)).ranked[1]
        written = write_route(TILLER, wrong)
        layout = parse(written)
        assert layout.route == wrong.route
        assert layout.pulleys["water-pump"].side == "ribs"
        assert layout.pulleys["tensioner"].side is None
        assert "# An arrow cast on the pump" in written
        assert write_route(written, best(TILLER)) != written

    def test_a_byte_order_mark_and_tables_are_kept(self) -> None:
        text = (
            '\ufefftitle = "Two"\r\n[belt]\r\nsection = "PK"\r\n'
            '[pulleys."the crank"]\r\nat = [0, 0]\r\ndiameter = 100\r\nface = "grooved"\r\n'
            'role = "crank" # it drives\r\n'
            '[pulleys.other]\r\nat = [9, 300]\r\ndiameter = 100\r\nface = "smooth"\r\n'
            'role = "other"\r\n'
        )
        written = write_route(text, best(text))
        assert written.startswith('\ufefftitle = "Two"')
        assert "# it drives\r\n" in written
        assert parse(written).route == ("the crank", "other")

    def test_a_broken_layout_is_refused(self) -> None:
        with pytest.raises(LayoutError):
            write_route("title = 3", best(PRESS))

    def test_the_demos_of_this_page_are_sound(self) -> None:
        names = ["found-tiller.toml", "found/hay-press.toml", "found/spare-belt.toml"]
        assert {path.name for path in LAYOUTS.glob("found/*.toml")} == {n[6:] for n in names[1:]}
        assert all(beltpath.read(LAYOUTS / name).title for name in names)

"""Whatever the file holds, the reader answers with a layout or a LayoutError, nothing else."""

from __future__ import annotations

import json

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from beltpath.cards.code import code_text
from beltpath.cards.paper import paper
from beltpath.cards.svg import render
from beltpath.errors import LayoutError, PathError
from beltpath.files.carried import layout_text
from beltpath.layout.layout import Layout
from beltpath.layout.problems import MOST_PROBLEMS
from beltpath.layout.reader import parse
from beltpath.output.check_answer import answer
from beltpath.solve.path import trace
from beltpath.solve.tensioner import stand
from beltpath.solve.uncertainty import length_uncertainty
from beltpath.studies import study
from tests.core.test_problems import ARM, BASE
from tests.strategies import Data, law, spoilt, toml_of, value_of

MANY = settings(law, max_examples=2 * law.max_examples)


def _read(text: str) -> Layout | None:
    """The layout, or None with the sentences looked at."""
    try:
        return parse(text)
    except LayoutError as error:
        _look_at(error, text)
    return None


def _look_at(error: LayoutError, text: str) -> None:
    problems = error.problems
    assert 0 < len(problems) <= MOST_PROBLEMS + 1
    assert len(set(problems)) == len(problems)
    lines = [p.line for p in problems if p.line is not None]
    assert lines == sorted(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines)
    for problem in problems:
        sentence = str(problem)
        assert sentence.isprintable()
        assert 10 < len(sentence) < 700
        assert "pydantic" not in sentence
        assert "Traceback" not in sentence


class TestAnyText:
    """Any text at all."""

    @MANY
    @given(st.text())
    @example("\ud800")
    @example("a = 1\r")
    def test_text(self, text: str) -> None:
        _read(text)

    @MANY
    @given(st.text(alphabet="=.[]{}\",'\n #\\ab01_-", max_size=60))
    def test_text_of_toml_characters(self, text: str) -> None:
        _read(text)

    @MANY
    @given(st.text(alphabet=st.characters(exclude_categories=())))
    def test_text_of_every_code_point(self, text: str) -> None:
        _read(text)

    @MANY
    @given(st.data())
    def test_layout_with_a_piece_cut_out_or_put_in(self, data: st.DataObject) -> None:
        text = data.draw(st.sampled_from([BASE, ARM]))
        start = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(start, min(len(text), start + 12)))
        piece = data.draw(
            st.text(max_size=4)
            | st.sampled_from(["nan", "inf", "-1", "1e400", "true", "[", "{", '"', "\n", "= ["])
        )
        _read(text[:start] + piece + text[end:])


class TestSpoiltLayout:
    """A sound layout with values changed, taken out, renamed or added, as mistakes really are."""

    @MANY
    @given(spoilt(), st.sampled_from(["inline", "headers", "dotted"]))
    def test_reads_or_tells(self, data: Data, style: str) -> None:
        if style != "inline" and not _is_regular(data):
            style = "inline"
        layout = _read(toml_of(data, style=style))
        if layout is not None:
            _solve(layout)

    @settings(law, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
    @given(spoilt())
    def test_what_reads_can_be_studied_and_written_as_json(self, data: Data) -> None:
        layout = _read(toml_of(data))
        if layout is None:
            return
        try:
            found = study(layout)
        except PathError:
            return
        json.dumps(answer(found), allow_nan=False)


#: Any character, those that nobody sees among them more often than their number.
ANY = st.characters(codec="utf-8") | st.sampled_from(
    "\x00\x1b\x85\xad\u200b\u202e\u2028\ufdd0\ufeff\ufffe\uffff\U0001fffe\U000e0041#\"'\\\n\r\t"
)


class TestAnyCharacterAnywhere:
    """Whatever the texts and comments hold, what reads can be carried by a card and come back."""

    @MANY
    @given(
        title=st.text(ANY, min_size=1, max_size=8),
        notes=st.text(ANY, max_size=12),
        remark=st.text(ANY, max_size=8),
        end=st.sampled_from(["\n", "\r\n"]),
    )
    @example(title="x", notes="# a\n\n  [belt]", remark="\x85ribs = 1", end="\n")
    @example(title="]]>", notes="</l:layout>&amp;<!DOCTYPE a>", remark="<!-- ]]>", end="\r\n")
    def test_reads_and_comes_back_or_is_told(
        self, title: str, notes: str, remark: str, end: str
    ) -> None:
        text = BASE.replace("\n", end) + f"# {remark}"
        text = text.replace('"Bench"', f"{value_of(title)}{end}notes = {value_of(notes)}", 1)
        layout = _read(text)
        if layout is None:
            return
        assert (layout.title, layout.notes) == (title, notes)
        page = render(paper("a5"), (), title=title, description="", layout_text=layout.text)
        again = parse(layout_text(page.encode()))
        assert (again, again.digest) == (layout, layout.digest)
        assert parse(code_text(layout)) == layout


def _is_regular(data: Data) -> bool:
    pulleys = data.get("pulleys")
    return isinstance(pulleys, dict) and all(isinstance(p, dict) and p for p in pulleys.values())


def _solve(layout: Layout) -> None:
    """What the core makes of a layout that reads: numbers, or a PathError in a plain sentence."""
    try:
        path = trace(layout)
        found = stand(layout, path)
    except PathError as error:
        assert str(error).isprintable()
        return
    assert 0.0 < path.length < 1e7
    assert 0.0 < length_uncertainty(layout, path).expanded < 1e6
    assert all(path.speed_ratio(i) > 0.0 for i in range(len(path.contacts)))
    if found is not None:
        assert found.path.length > 0.0
        assert found.shortest <= found.longest

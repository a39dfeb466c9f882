"""Key paths and the lines they stand on."""

from __future__ import annotations

import pytest

from beltpath.errors import Problem
from beltpath.layout.toml import LineIndex, dotted, has_long_chain, quoted

TEXT = '''title = "a [belt] in a text"  # [pulleys] in a remark
notes = """
title = 5
[belt]
""" # and on
route = [
  "crank", # [x]
  "pump",
]
'literal' = \'\'\'
[pulleys]
\'\'\'
[belt]
section = "PK"
[ pulleys . "left idler" ]
at = [0, 0]
"say \\"hi\\".now" = 1
[pulleys.'größe']
diameter = 5
load.torque_nm = 7
[tensioner.spring]
torque = {a = [
  1]}
at = 0
# an odd [ and a """ in a remark, and it's fine
grid = [
[0],
]
after = 1
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("title", 1),
        ("notes", 2),
        ("route", 6),
        ("literal", 10),
        ("belt", 13),
        ("belt.section", 14),
        ("belt.ribs", 13),
        ("pulleys", 15),
        ('pulleys."left idler"', 15),
        ('pulleys."left idler".at', 16),
        ('pulleys."left idler"."say \\"hi\\".now"', 17),
        ('pulleys."größe"', 18),
        ('pulleys."größe".diameter', 19),
        ('pulleys."größe".load', 20),
        ('pulleys."größe".load.torque_nm', 20),
        ('pulleys."größe".load.power_kw', 20),
        ("tensioner", 21),
        ("tensioner.spring", 21),
        ("tensioner.spring.at", 24),
        ("tensioner.pivot", 21),
        ("tensioner.spring.grid", 26),
        ("tensioner.spring.after", 29),
        ("0", None),
        ("running", None),
        ("", None),
    ],
)
def test_line(path: str, line: int | None) -> None:
    assert LineIndex(TEXT).line(path) == line
    assert LineIndex(TEXT.replace("\n", "\r\n")).line(path) == line


def test_other_line_ends_inside_a_line_do_not_count() -> None:
    text = 'title = "x" # \u2028 \x85 here\nbelt = 1\n'
    assert LineIndex(text).line("belt") == 2


def test_in_order_and_once() -> None:
    index = LineIndex("a = 1\nb = 2\n")
    problems = [Problem("b", "two"), Problem("a", "one"), Problem("b", "two"), Problem("", "none")]
    placed = [index.placed(p) for p in index.in_order(problems)]
    assert [str(p) for p in placed] == ["none", "line 1: a: one", "line 2: b: two"]


class TestDotted:
    """A key path is written as the file would write it, and is never long or dangerous to print."""

    def test_bare_words(self) -> None:
        assert dotted(["pulleys", "left-idler_2", "at"]) == "pulleys.left-idler_2.at"

    def test_quotes(self) -> None:
        assert dotted(["a.b", "", "ö", 'q"\\']) == '"a.b".""."ö"."q\\"\\\\"'

    def test_unprintable(self) -> None:
        assert dotted(["\x1b[31m", "\u202e", "\U000e0001"]) == (
            '"\\u001b[31m"."\\u202e"."\\U000e0001"'
        )

    def test_long(self) -> None:
        assert dotted(["x" * 61]) == f'"{"x" * 60}..."'
        assert dotted(["x" * 60]) == "x" * 60

    def test_quoted(self) -> None:
        assert quoted("a\nb") == '"a\\u000ab"'


class TestLongChain:
    """Keys of very many parts are seen, whatever they are made of; nothing in a layout is."""

    @pytest.mark.parametrize("part", ["a", '"a b"', "'a.b'", "1", "a-b"])
    def test_seen(self, part: str) -> None:
        assert has_long_chain(f"x = 1\n{'.'.join([part] * 40)} = 1\n")
        assert has_long_chain(f"[{' . '.join([part] * 40)}]\n")

    def test_not_seen(self) -> None:
        assert not has_long_chain(TEXT)
        assert not has_long_chain("a.b.c = 1\n" * 100)
        assert not has_long_chain("x = [" + "1.5, " * 1000 + "]")
        assert not has_long_chain("x" * 100_000)

"""Problems and errors as sentences."""

from __future__ import annotations

import pickle
from copy import copy

import pytest

from beltpath.errors import (
    BeltpathError,
    ExportError,
    LayoutError,
    PathError,
    Problem,
    UsageError,
)


@pytest.mark.parametrize(
    ("problem", "sentence"),
    [
        (Problem("a.b", "is wrong", 3), "line 3: a.b: is wrong"),
        (Problem("a.b", "is wrong"), "a.b: is wrong"),
        (Problem("", "is wrong", 3), "line 3: is wrong"),
        (Problem("", "is wrong"), "is wrong"),
    ],
)
def test_problem(problem: Problem, sentence: str) -> None:
    assert str(problem) == sentence


def test_layout_error_carries_every_problem() -> None:
    problems = [Problem("a", "one", 1), Problem("b", "two", 2)]
    error = LayoutError(problems)
    assert error.problems == tuple(problems)
    assert str(error) == "line 1: a: one\nline 2: b: two"


def test_one_tree() -> None:
    for kind in (LayoutError, PathError, UsageError, ExportError):
        assert issubclass(kind, BeltpathError)


def test_a_copied_error_says_what_it_said() -> None:
    error = LayoutError([Problem("a", "one", 1), Problem("b", "two", place="--with b=2")])
    for again in (pickle.loads(pickle.dumps(error)), copy(error)):
        assert isinstance(again, LayoutError)
        assert (again.problems, str(again)) == (error.problems, str(error))

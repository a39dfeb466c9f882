"""Files that are no layouts at all: one clear answer each, and quickly."""

from __future__ import annotations

from pathlib import Path
from time import process_time

import pytest

from beltpath.errors import BeltpathError, LayoutError, UsageError
from beltpath.files.reading import read
from beltpath.layout.reader import LARGEST_TEXT, parse
from tests.core.test_problems import BASE, told

DEEP = "the file nests too deeply to be a layout"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (f"a = {'9' * 5000}", "the file holds a number of far too many digits"),
        ("a = " + "[" * 4000, DEEP),
        ("a = " + "[" * 4000 + "]" * 4000, DEEP),
        (BASE + "x = " + "[" * 12 + "]" * 12 + "\n", DEEP),
        (BASE + "x = " + "{a=" * 12 + "1" + "}" * 12 + "\n", DEEP),
        (BASE + ".".join(["a"] * 20) + " = 1\n", DEEP),
        (BASE + ".".join(["a"] * 20_000) + " = 1\n", DEEP),
        (BASE + "[" + ".".join(['"a b"'] * 20_000) + "]\n", DEEP),
        (BASE + "# " + "x" * LARGEST_TEXT, "the file is too large to be a layout (over 200 kB)"),
        ("title = '\ud800'", "this is not Unicode text; save it as UTF-8"),
    ],
)
def test_text(text: str, sentence: str) -> None:
    assert told(text) == [sentence]


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ('title = "Bench', "", " (at end of document)"),
        ('title = "Bench\n', "line 1: ", ", at character 15"),
        ("a = 1\nb = 2\na = 3\n", "line 3: ", ", at character 6"),
        ("pulleys:\n  - crank\n", "line 1: ", ", at character 8"),
        ("a = 1\n\x00", "line 2: ", ", at character 1"),
        ("größe = 1", "line 1: ", ", at character 3"),
    ],
)
def test_text_that_is_not_toml(text: str, start: str, end: str) -> None:
    """What lies between is Python's own sentence, which differs from version to version."""
    (sentence,) = told(text)
    assert sentence.startswith(f"{start}this is not TOML as it stands: ")
    # Behind a semicolon stands what to write instead: test_slips.py.
    assert sentence.partition("; ")[0].endswith(end)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00", "this is a PNG picture, which carries no layout; "),
        (BASE.encode("utf-16"), "this text is saved as UTF-16 (Unicode); save it as UTF-8"),
        (b'a = 1\nb = "\xfc"\n', "line 2: the file is not UTF-8 text; save it as UTF-8"),
        (b"\x00" * 100, "line 1: this is not TOML as it stands: "),
        (b"%PDF-1.7\n1 0 obj\n", "this PDF cannot be read: "),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "this picture carries no layout; "),
        (b"x" * (LARGEST_TEXT + 1), "the file is too large to be a layout (over 200 kB)"),
    ],
)
def test_file(data: bytes, sentence: str, tmp_path: Path) -> None:
    path = tmp_path / "layout.toml"
    path.write_bytes(data)
    with pytest.raises(LayoutError) as caught:
        read(path)
    assert str(caught.value).startswith(sentence)
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"k{i:x}=1\n" for i in range(22_000)),
        BASE + "".join(f"p{i:x}={{}}\n" for i in range(19_000)),
        "route = [" + "'x'," * 40_000 + "]\n" + BASE.replace("route", "notes"),
        "x." * 90_000 + "x = 1",
        "x" * 190_000,
        '"' * 190_000,
        "[" * 190_000,
        "'" + "\\" * 190_000,
        'a = """' + '\\"' * 90_000,
    ],
    ids=["keys", "pulleys", "route", "chain", "word", "quotes", "brackets", "slashes", "long"],
)
def test_hostile_texts_are_answered_in_a_moment(text: str) -> None:
    """Each would take minutes if any step were quadratic; processor time, for busy machines."""
    start = process_time()
    with pytest.raises(BeltpathError):
        parse(text)
    assert process_time() - start < 20.0


def test_mark_and_carriage_returns_keep_the_lines() -> None:
    spoilt = BASE.replace("ribs = 4", "ribs = true")
    sentence = ["line 6: belt.ribs: must be a whole number; found true"]
    assert told(spoilt) == sentence
    assert told("\ufeff" + spoilt) == sentence
    assert told("\ufeff" + spoilt.replace("\n", "\r\n")) == sentence
    assert told("\ufefftitle = 5\n" + BASE.partition("\n")[2])[0].startswith("line 1: title: ")


def test_header_and_dotted_styles_keep_the_lines() -> None:
    text = """title = "x"
belt.section = "PK"
belt.ribs = true
[pulleys.crank]
at = [0, 0]
diameter = "big"
face = "grooved"
role = "crank"
[pulleys]
"left idler.2".at = [200, 0]
"left idler.2".diameter = 80
"left idler.2".face = "smoth"
"left idler.2".role = "idler"
"größe" = 1
"""
    assert told(text) == [
        "line 3: belt.ribs: must be a whole number; found true",
        'line 6: pulleys.crank.diameter: must be a number; found "big"',
        (
            'line 12: pulleys."left idler.2".face: must be "grooved" or "smooth"; found "smoth"; '
            'did you mean "smooth"?'
        ),
        'line 14: pulleys."größe": must be a table, { key = value, ... }; found 1',
    ]


def test_missing_file(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"nothing here\.toml: cannot be read: no such file"):
        read(tmp_path / "nothing here.toml")

"""What people write that is not TOML, and what to write instead: in the sentence of the mistake."""

from __future__ import annotations

from pathlib import Path

import pytest

from beltpath.errors import LayoutError
from beltpath.files.reading import read
from beltpath.layout.reader import parse
from beltpath.layout.slips import LONGEST_LINE, LONGEST_NUMBER, number_hint, pair_hint, slip
from beltpath.layout.what_if import Changes, changed

BASE = """\
title = "Two pulleys"
route = ["crank", "fan"]
[belt]
section = "PK"
ribs = 6
[pulleys]
crank = { at = [0, 0], diameter = 190, face = "grooved", role = "crank" }
fan = { at = [220, 154], diameter = 98, face = "grooved", role = "fan" }
"""
RIBS = "ribs = 6"
TITLE = 'title = "Two pulleys"'
MM = "write the number alone, {} where the file's `units` are mm: decimal point, no unit"
PLAIN = "write {}: decimal point, no unit, no quotes"
WHICH = "write {} or {}, whichever is meant: decimal point, no mark between thousands"


def told(old: str, new: str) -> str:
    """What is said of the sound layout with one place changed."""
    assert BASE.count(old) >= 1
    with pytest.raises(LayoutError) as caught:
        parse(BASE.replace(old, new, 1))
    return str(caught.value)


def test_the_layout_itself_is_sound() -> None:
    assert parse(BASE).title == "Two pulleys"


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        # names
        ("fan =", "water pump =", 'put names with blanks in quotes: "water pump"'),
        ("[pulleys]", "[all pulleys]", 'put names with blanks in quotes: "all pulleys"'),
        ("fan =", "pulleys.oil pump =", 'put names with blanks in quotes: pulleys."oil pump"'),
        ("fan =", "Lüfter =", 'put names with other signs than a-z, 0-9, - _ in quotes: "Lüfter"'),
        # units
        ("190", "190 mm", MM.format("190")),
        ("190", "190.5mm", MM.format("190.5")),
        ("190", "190,5 mm", MM.format("190.5")),
        ("[220, 154]", "[220.5 mm, 154]", MM.format("220.5")),
        (
            '98, face = "grooved"',
            '98, face = "grooved", min_wrap = 90°',
            "write the number alone, 90: ",
        ),
        ("190", "19 cm", "write the number alone, in the file's `units`: decimal point, no unit"),
        ("190", '7.5"', "7.5 where the file's `units` are in"),
        # decimal commas, fractions, marks between thousands
        ("190", "190,5", PLAIN.format("190.5")),
        ("190", "3 7/8", PLAIN.format("3.875")),
        ("190", "3-7/8", PLAIN.format("3.875")),
        ("190", "1/2", PLAIN.format("0.5")),
        ("190", "10/3", PLAIN.format("3.333333")),
        ("190", "1'190.5", PLAIN.format("1190.5")),
        ("190", "1.190,5", PLAIN.format("1190.5")),
        ("190", "1,190.5", PLAIN.format("1190.5")),
        (RIBS, f"{RIBS}\nlength = 1,877", WHICH.format("1877", "1.877")),
        (RIBS, f"{RIBS}\nlength = 1 877", PLAIN.format("1877")),
        (RIBS, f"{RIBS}\nlength = 1.111.877", PLAIN.format("1111877")),
        (RIBS, f"{RIBS}\nlength = 187,5 # measured", PLAIN.format("187.5")),
        ("190", "\u2212190", PLAIN.format("-190")),
        ("190", "+1,5", PLAIN.format("1.5")),
        ("190", ".5", PLAIN.format("0.5")),
        ("190", "5.", PLAIN.format("5")),
        ("190", "05", PLAIN.format("5")),
        # quotes, words, signs
        ('"Two pulleys"', "„Two pulleys“", 'write straight quotes, "..."'),
        ('"Two pulleys"', "“Two pulleys”", 'write straight quotes, "..."'),
        ('"Two pulleys"', "Two pulleys", 'put words in quotes: "Two pulleys"'),
        ('"grooved"', "grooved", 'put words in quotes: "grooved"'),
        ('["crank", "fan"]', "[crank, fan]", 'put words in quotes: "crank"'),
        (RIBS, f"{RIBS}\nelastic = Yes", "write true or false, in small letters"),
        (RIBS, f"{RIBS}\nelastic = True", "write true or false, in small letters"),
        (TITLE, 'title: "Two pulleys"', "write = after a key, not :"),
        ("at = [0", "at: [0", "write = after a key, not :"),
        (TITLE, 'title "Two pulleys"', "a line is KEY = VALUE"),
        (TITLE, "title =", "write a value after the ="),
        ('"Two pulleys"', '"Two pulleys', 'end the text with "'),
        ("[220, 154]", "(220, 154)", "write a pair in square brackets, such as at = [120, 85]"),
        ("[220, 154]", "[220; 154]", "write commas between values, not ;"),
        ("[220, 154]", "[220, 154", "end the list with ]"),
        ('"fan" }', '"fan", }', "leave out the comma before }"),
        ("fan = {", "fan = {\n", "a table in braces stands on one line and ends with }"),
        (RIBS, f"{RIBS}\n{RIBS}", "it stands twice in the file, keep one"),
        ("190", "190\u00a0", "write a plain blank, not U+00A0"),
    ],
)
def test_what_is_not_toml(old: str, new: str, hint: str) -> None:
    sentence = told(old, new)
    assert sentence.startswith("line ") and "this is not TOML as it stands" in sentence
    assert f"; {hint}" in sentence or hint in sentence.partition("; ")[2]
    assert "\n" not in sentence


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("98", '"98 mm"', MM.format("98")),
        ("98", '"98"', PLAIN.format("98")),
        ("98", '"98,5"', PLAIN.format("98.5")),
        ("98", '"3 7/8"', PLAIN.format("3.875")),
        ("98", "'3 7/8\"'", "3.875 where the file's `units` are in"),
        ("98", '"1,877 mm"', MM.format("1877 or 1.877")),
        ("98", '"1/0"', PLAIN.format("a decimal")),
        (RIBS, 'ribs = "6"', PLAIN.format("6")),
        ("[220, 154]", "[220,5, 154]", "with a point: [220.5, 154] or [220, 5.154]"),
        ("[220, 154]", "[220,5, 154,25]", "with a point: [220.5, 154.25]"),
        (TITLE, f"diameter = 5\n{TITLE}", "it belongs to a pulley, under [pulleys]: NAME = "),
        (TITLE, f"{TITLE}\npump = {{ at = [1, 2] }}", "a pulley stands under [pulleys]"),
    ],
)
def test_what_is_toml_and_no_layout(old: str, new: str, hint: str) -> None:
    assert hint in told(old, new)


@pytest.mark.parametrize("value", ['"large"', '"98 mm or so"', f'"{"9" * 60}"', "true"])
def test_no_hint_where_nothing_can_be_told(value: str) -> None:
    sentence = told("98", value)
    assert "must be a number; found " in sentence and sentence.count(";") == 1


def test_no_pair_is_made_of_other_lists() -> None:
    assert pair_hint([1.5, 2, 3]) == pair_hint([1, 2, 3, 4, 5]) == pair_hint("[1, 2, 3]") == ""


def test_of_two_slips_on_a_line_the_one_at_which_reading_stops_is_told() -> None:
    line = "water pump = { at = [0, 190 mm], diameter = 100 }"
    with pytest.raises(LayoutError, match='put names with blanks in quotes: "water pump"'):
        parse(f"[pulleys]\n{line}\n")


def test_a_line_without_a_slip_that_is_known() -> None:
    for line in ("x = nan}", "x = true}", "x = [1]]", ""):
        assert slip(line, 1, "") == ""


def test_a_what_if_tells_the_same() -> None:
    with pytest.raises(LayoutError, match=r"write 190\.5: decimal point"):
        changed(BASE, Changes(values=("crank.diameter=190,5",)))


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"PK\x03\x04rest of a zip", "document of a word processor or spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "document of a word processor or spreadsheet"),
        (BASE.encode("utf-16-le"), "saved as UTF-16"),
        (BASE.encode("utf-16"), "saved as UTF-16"),
        (b"\xfe\xff" + BASE.encode("utf-16-be"), "saved as UTF-16"),
        (rb"{\rtf1\ansi title = 1}", "document of a word processor (RTF)"),
        (b"<!DOCTYPE html><html></html>", "this is a web page"),
        (b"\n<html></html>", "this is a web page"),
        (b'{ "title": "Two pulleys" }', "this looks like JSON"),
        (b"title = 1\rroute = 2\r", "save it with the line ends of Windows or Unix"),
    ],
)
def test_files_that_other_programs_save(data: bytes, says: str, tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_bytes(data)
    with pytest.raises(LayoutError) as caught:
        read(tmp_path / "layout.toml")
    assert says in str(caught.value)
    assert len(caught.value.problems) == 1


def test_line_ends_of_windows_and_tabs_are_fine(tmp_path: Path) -> None:
    (tmp_path / "layout.toml").write_bytes(
        BASE.replace("\n", "\r\n").replace(" = ", "\t=\t").encode()
    )
    assert read(tmp_path / "layout.toml") == parse(BASE)


def test_a_long_line_is_not_looked_through() -> None:
    """Looking for slips takes time that may grow as the square of a line's length."""
    far = " " * LONGEST_LINE
    assert slip(f"x = 1 {far}; 2", 1, "") == slip("x = 1", 1, "")
    assert number_hint("1" + "0" * LONGEST_NUMBER) == ""

"""Catalogues: the header, good rows, bad rows told by line and skipped, and files that are none."""

from __future__ import annotations

import csv
import io
import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.data.sections import SECTION_NAMES
from beltpath.errors import UsageError
from beltpath.layout.characters import unseen
from beltpath.layout.designation import designation
from beltpath.sizing.catalogue import COLUMNS, MOST_TOLD, Catalogue, Offer, parse
from tests.sizing.drives import LAYOUTS
from tests.strategies import law

HEAD = ",".join(COLUMNS)


def catalogue(*rows: str, head: str = HEAD) -> Catalogue:
    return parse("\n".join((head, *rows)))


def only(row: str) -> Offer:
    read = catalogue(row)
    assert read.problems == ()
    (offer,) = read.offers
    return offer


def refused(row: str) -> str:
    """The problem of a row that stands on line 3, between two good ones."""
    good = "6PK1795,PK,6,1795,mm,,,"
    read = catalogue(good, row, good)
    assert [offer.line for offer in read.offers] == [2, 4]
    (problem,) = read.problems
    assert problem.line == 3
    return problem.message


class TestRows:
    def test_a_full_row(self) -> None:
        assert only("6PK1795,PK,6,1795,mm,5,3,top shelf") == Offer(
            "6PK1795", "PK", 6, 1795.0, 5.0, 3, "top shelf", 2
        )

    def test_inches_go_for_length_and_tolerance(self) -> None:
        offer = only("540J6,PJ,6,54.0,in,0.2,,")
        assert offer.length == pytest.approx(1371.6)
        assert offer.tolerance == pytest.approx(5.08)

    def test_a_designation_fills_empty_cells(self) -> None:
        assert only("6 pk 1795,,,,,,,")[1:4] == ("PK", 6, 1795.0)
        assert only("6PK1795,pk,,1795.4,MM,,,")[1:4] == ("PK", 6, 1795.4)
        assert only("540J6,,6,,,,,")[1:3] == ("PJ", 6)
        assert only("540J6,,6,,,,,").length == pytest.approx(1371.6)

    def test_a_name_of_the_shops_own_is_kept(self) -> None:
        assert only("B-77,PK,6,1795,mm,,,").designation == "B-77"

    def test_no_name_gives_the_iso_form(self) -> None:
        assert only(",PK,6,1795,mm,,,").designation == "6PK1795"

    def test_empty_lines_and_foreign_columns_are_left_alone(self) -> None:
        read = parse("price,unit,length,ribs,section,designation\r\n\r\n9.5,mm,1795,6,PK,x\r\n")
        assert read.offers == (Offer("x", "PK", 6, 1795.0, None, None, "", 3),)

    def test_lines_are_counted_through_cells_of_several_lines(self) -> None:
        read = catalogue(
            '6PK1795,PK,6,1795,mm,,,"two\nlines"', "bad\u2028\x0b", "6PK1800,PK,6,1800,mm,,,"
        )
        assert [offer.line for offer in read.offers] == [2, 5]
        assert [problem.line for problem in read.problems] == [4]


class TestBadRows:
    @pytest.mark.parametrize(
        ("row", "says"),
        [
            ("6PK1795,PK,6,1795,mm", "the row has 5 cells, the first line 8"),
            ("x,PQ,6,1795,mm,,,", 'section must be one of PH, PJ.* not "PQ"'),
            ("x,PK,six,1795,mm,,,", 'ribs must be a whole number, not "six"'),
            ("x,PK,6.0,1795,mm,,,", 'ribs must be a whole number, not "6.0"'),
            ("x,PK,-6,1795,mm,,,", "ribs must be a whole number"),
            ("x,PK,9999999999,1795,mm,,,", "ribs must be a whole number"),
            ("x,PK,0,1795,mm,,,", "1 to 100 ribs, not 0"),
            ('x,PK,6,"1795,5",mm,,,', 'length must be a number, not "1795,5"'),
            ("x,PK,6,1_795,mm,,,", "length must be a number"),
            ("x,PK,6,nan,mm,,,", "length must be a number"),
            ("x,PK,6,1e999,mm,,,", "length must be a number"),
            ("x,PK,6,12,mm,,,", "50 to 50000 mm, not 12"),
            ("x,PK,6,1795,cm,,,", 'unit must be mm or in, not "cm"'),
            ("x,PK,6,1795,,,,", 'unit must be mm or in, not ""'),
            ("6PK1795,,,,furlong,,,", 'unit must be mm or in, not "furlong"'),
            ("x,PK,6,1795,mm,-1,,", "tolerance must be 0 to 500 mm, not -1"),
            ("x,PK,6,1795,mm,close,,", 'tolerance must be a number, not "close"'),
            ("x,PK,6,1795,mm,,many,", 'stock must be a whole number, not "many"'),
            ("x,AV10,6,1000,mm,,,", "a V-belt has no ribs to count"),
            ("x,,6,,mm,,,", 'section, length left empty, and the designation "x"'),
            ("6PK1795,PK,5,1795,mm,,,", "says PK, 6 ribs, 1795 mm, the columns say PK, 5 ribs"),
            ("6PK1795,PJ,6,1795,mm,,,", "the columns say PJ"),
            ("6PK1795,PK,6,1759,mm,,,", "the columns say PK, 6 ribs, 1759 mm"),
            ("6PK1795,,,1759,mm,,,", "the columns say PK, 6 ribs, 1759 mm"),
            ("540J6,PJ,6,540,in,,,", "1371.6 mm, the columns say PJ, 6 ribs, 13716 mm"),
            (f"x,PK,6,1795,mm,,,{'y' * 10_001}", "a cell is longer than 10000 characters"),
            ("x,PK,6,1795,mm,,,a\u200bb", r'a character that cannot be printed \("\\u200b"\)'),
            ("6PK\x1b[2J,PK,6,1795,mm,,,", r'a character that cannot be printed \("\\u001b"\)'),
            (f"x,{'P' * 99},6,1795,mm,,,", f'not "{"P" * 40}…"'),
        ],
    )
    def test_each_is_told_and_skipped(self, row: str, says: str) -> None:
        assert re.search(says, refused(row))


def test_of_very_many_bad_rows_the_first_are_told_and_all_counted() -> None:
    read = catalogue(*["bad"] * 20_000, "6PK1795,,,,,,,", "\ud800,,,,,,,")
    assert [problem.line for problem in read.problems] == [*range(2, 2 + MOST_TOLD)]
    assert read.skipped == 20_001
    assert len(read.offers) == 1


def test_a_column_of_the_shops_own_may_hold_anything() -> None:
    read = catalogue("6PK1795,,,,,,,,\u200b", head=f"{HEAD},mine")
    assert (len(read.offers), read.skipped) == (1, 0)


class TestNoCatalogue:
    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "the first line must name the columns: designation, section"),
            ("\n6PK1795\n", "the first line must name the columns: designation"),
            ("designation,section\n", "ribs, length, unit are not there"),
            ("designation,section,ribs,length\n", "unit is not there$"),
            ("designation;section;ribs;length;unit\n", "separate the columns by commas"),
            (f"{HEAD},note\n", "names the column note twice"),
            (HEAD.replace("tolerance", "tolerence"), '"tolerence"; did you mean tolerance?'),
            (f'{HEAD}\n6PK1795,PK,6,1795,mm,,,"open\nmore\n', "line 2: cannot be read as CSV"),
            (f"{HEAD}\n{'9' * 140_000},", "line 2: cannot be read as CSV .field larger"),
            ('title = "A layout"\n[belt]\n', "designation, section.* are not there"),
        ],
    )
    def test_one_sentence_says_so(self, text: str, says: str) -> None:
        with pytest.raises(UsageError, match=says.replace("?", r"\?")) as caught:
            parse(text)
        assert "\n" not in str(caught.value)


OFFERS = st.builds(
    lambda section, ribs, length, tolerance, stock, note: Offer(
        designation(section, 1 if section.startswith("AV") else ribs, length),
        section,
        1 if section.startswith("AV") else ribs,
        length,
        tolerance,
        stock,
        note,
    ),
    st.sampled_from(SECTION_NAMES),
    st.integers(1, 100),
    st.floats(50.0, 50_000.0),
    st.none() | st.floats(0.0, 500.0),
    st.none() | st.integers(0, 999),
    st.text(st.characters(codec="utf-8").filter(lambda c: not unseen(c)), max_size=20).map(
        str.strip
    ),
)


class TestLaw:
    """What is written as CSV is read back the same, whatever the notes hold."""

    @law
    @given(offers=st.lists(OFFERS, max_size=5))
    def test_round_trip(self, offers: list[Offer]) -> None:
        out = io.StringIO(newline="")
        writer = csv.writer(out)
        writer.writerow(COLUMNS)
        for one in offers:
            writer.writerow([*one[:3], repr(one.length), "mm", *one[4:7]])
        read = parse(out.getvalue())
        assert read.problems == ()
        assert [one._replace(line=0) for one in read.offers] == offers

    @law
    @given(text=st.text(max_size=60))
    def test_any_text_is_read_or_refused_in_a_sentence(self, text: str) -> None:
        try:
            read = parse(f"{HEAD}\n{text}")
        except UsageError as error:
            assert str(error).startswith("line ")
        else:
            assert all(problem.line for problem in read.problems)


def test_the_demo_catalogue_is_clean() -> None:
    read = parse((LAYOUTS / "shelf.csv").read_text(encoding="utf-8"))
    assert read.problems == ()
    assert len(read.offers) >= 12


def test_the_time_for_a_row_does_not_grow_with_the_file() -> None:
    """So that 100 000 rows take ten times as long as 10 000; a factor of two is for the machine."""
    rows = [f"6PK{i},PK,6,{i},mm,,1,\n" for i in range(500, 2000)]

    def taken(times: int) -> float:
        text = f"{HEAD}\n{''.join(rows * times)}"
        best = float("inf")
        for _ in range(2):
            start = time.process_time()
            assert len(parse(text).offers) == times * len(rows)
            best = min(best, time.process_time() - start)
        return best / times

    assert taken(4) < 2.0 * taken(1)


def test_the_blank_rows_of_a_spreadsheet_are_no_mistake() -> None:
    row = "6PK1795,PK,6,1795,mm,,,"
    found = catalogue(row, ",,,,", " , ,,,", row)
    assert len(found.offers) == 2
    assert found.skipped == 0

"""The data files: complete, and read as they stand."""

from __future__ import annotations

import pytest

from beltpath.data.sections import (
    SECTION_NAMES,
    SectionName,
    length_tolerance,
    section,
    sections,
)
from beltpath.data.tables import Sourced, cite, limits, read_table, sourced

STATUSES = {"published", "computed", "common practice", "from memory"}


@pytest.mark.parametrize(
    ("length", "tolerance"),
    [
        (500, 5.0),
        (1000, 5.0),
        (1000.1, 6.0),
        (1500, 8.0),
        (2000, 9.0),
        (2500, 10.0),
        (3000, 15.0),
        (50_000, 250.0),
        (60_000, 300.0),
    ],
)
def test_length_tolerance(length: float, tolerance: float) -> None:
    assert length_tolerance(length) == pytest.approx(tolerance)


@pytest.mark.parametrize("name", ["PH", "PJ", "PL", "PM"])
@pytest.mark.parametrize(("quantity", "least"), [("back", 0.05), ("back_sigma", 0.005)])
def test_a_value_in_the_ratio_of_b_e_is_in_that_ratio(
    name: SectionName, quantity: str, least: float
) -> None:
    """To half of the last figure that the row gives, as its source says."""
    one, pk = section(name), section("PK")
    assert "in the ratio of b_e" in one.sources[quantity].source
    reckoned = getattr(pk, quantity) * one.b_e / pk.b_e
    assert getattr(one, quantity) == pytest.approx(reckoned, abs=1.001 * least)


def test_where_only_a_summary_was_read_the_row_says_so() -> None:
    """SAE J1459, J636 and J1596 were read in summaries alone: see the published values."""
    rows = [*read_table("sections.csv"), *read_table("limits.csv"), *read_table("guides.csv")]
    told = [row for row in rows if "SAE" in row["source"]]
    assert len(told) > 10
    assert [row for row in told if "summary" not in row["source"]] == []


def test_every_section_is_complete_and_possible() -> None:
    assert tuple(sections()) == SECTION_NAMES
    for name in SECTION_NAMES:
        one = section(name)
        assert one.name == name
        assert 0.0 < one.back < one.height
        assert one.back_sigma > 0.0
        assert one.smallest_effective > 2.0 * one.height


@pytest.mark.parametrize("table", ["sections", "length_tolerance", "measuring", "limits", "guides"])
def test_every_row_has_status_source_and_unit(table: str) -> None:
    rows = read_table(f"{table}.csv")
    assert len(rows) > 3
    for row in rows:
        assert row["status"] in STATUSES
        assert len(row["source"]) > 5
        assert row["unit"]
        assert None not in row
    assert len(sourced(table)) == len(rows)


def test_a_row_is_read_with_its_source() -> None:
    row = sourced("sections")["PK.pitch"]
    assert (row.value, row.unit, row.status) == (3.56, "mm", "published")
    assert row.source == "ISO 9982 glossary, rib pitch"
    assert list(sourced("measuring")) == ["diameter", "outside", "over_balls", "around"]
    assert limits() is sourced("limits")


def test_cite_says_what_is_not_published() -> None:
    said = Sourced(value=1.0, unit="mm", status="published", source="ISO 1")
    assert cite(said) == "ISO 1"
    assert (
        cite(Sourced(value=1.0, unit="mm", status="from memory", source="a guide"))
        == "from memory: a guide"
    )
    assert cite(limits()["clearance.free_span"]).startswith("common practice: ")

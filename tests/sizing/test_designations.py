"""Designations: every form read, what is none refused in one sentence, and back again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from beltpath.data.sections import SECTION_NAMES, SectionName
from beltpath.errors import UsageError
from beltpath.layout.designation import designation, find_designation, read_designation
from tests.strategies import law

RIBBED = [name for name in SECTION_NAMES if name.startswith("P")]


@pytest.mark.parametrize(
    "text", ["6PK1795", "6 PK 1795", "6pk1795", "6-PK-1795", " 6 Pk1795 ", "6PK1795.0"]
)
def test_the_iso_form(text: str) -> None:
    assert read_designation(text) == ("PK", 6, 1795.0)


@pytest.mark.parametrize(
    "text", ["AV10x1192", "AV10X1192", "av10 1192", "AV10 x 1192", "AV-10-1192"]
)
def test_the_form_of_v_belts(text: str) -> None:
    assert read_designation(text) == ("AV10", 1, 1192.0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "6PK",
        "PK1795",
        "6PQ1795",
        "6PK1795x",
        "AV101192",
        "AV11x1000",
        "540 6",
        "6P\u212a1795",
        "٦PK1795",
    ],
)
def test_what_is_no_designation_is_told_with_what_was_expected(text: str) -> None:
    assert find_designation(text) is None
    with pytest.raises(UsageError) as caught:
        read_designation(text)
    sentence = str(caught.value)
    assert sentence.startswith(f'"{text}" is no designation of a belt')
    assert all(form in sentence for form in ("6PK1795", "540J6", "AV10x1000"))
    assert "\n" not in sentence


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("0PK1795", "1 to 100 ribs, not 0"),
        ("101PK1795", "1 to 100 ribs, not 101"),
        ("6PK49", "50 to 50000 mm, not 49"),
        ("6PK50001", "50 to 50000 mm, not 50001"),
        ("6PK999999999", "not 999999999"),
    ],
)
def test_impossible_sizes_are_refused(text: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        read_designation(text)


class TestLaw:
    """What is written is read back the same."""

    @law
    @given(
        section=st.sampled_from(RIBBED), ribs=st.integers(1, 100), length=st.integers(50, 50_000)
    )
    def test_iso(self, section: SectionName, ribs: int, length: int) -> None:
        assert read_designation(designation(section, ribs, length)) == (section, ribs, length)

    @law
    @given(name=st.sampled_from(["AV10", "AV13"]), length=st.integers(50, 50_000))
    def test_v(self, name: SectionName, length: int) -> None:
        assert read_designation(designation(name, 1, length)) == (name, 1, length)

    @law
    @given(
        tenths=st.integers(20, 19_685), letter=st.sampled_from("HJKLM"), ribs=st.integers(1, 100)
    )
    def test_inches(self, tenths: int, letter: str, ribs: int) -> None:
        section, count, length = read_designation(f"{tenths}{letter}{ribs}")
        assert (section, count) == (f"P{letter}", ribs)
        assert length / 25.4 * 10.0 == pytest.approx(tenths, rel=1e-12)

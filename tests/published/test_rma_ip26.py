"""RMA/ARPM IP-26 (from memory, page not seen): the inch form of a V-ribbed belt's designation.

Effective length in tenths of an inch, section letter, ribs: "540 J 6" is 54.0 in, 1371.6 mm, six
ribs. The inch is 25.4 mm exactly, so only rounding error of the product is allowed.
"""

from __future__ import annotations

import pytest

from beltpath.data.sections import SectionName
from beltpath.layout.designation import read_designation


@pytest.mark.parametrize("text", ["540J6", "540 J 6", "540j6", "540-J-6", " 540J6 "])
def test_the_printed_example(text: str) -> None:
    section, ribs, length = read_designation(text)
    assert (section, ribs) == ("PJ", 6)
    assert length == pytest.approx(54.0 * 25.4, rel=1e-14)
    assert length == pytest.approx(1371.6, rel=1e-14)


@pytest.mark.parametrize(
    ("letter", "section"), [("H", "PH"), ("J", "PJ"), ("K", "PK"), ("L", "PL"), ("M", "PM")]
)
def test_every_section_letter(letter: str, section: SectionName) -> None:
    read, ribs, length = read_designation(f"1000{letter}8")
    assert (read, ribs) == (section, 8)
    assert length == pytest.approx(2540.0, rel=1e-14)

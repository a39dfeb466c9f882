"""A broken law of a card is told, whatever else is broken."""

from __future__ import annotations

import sys

import pytest

from tests.card import test_every_card, test_wrong_way
from tests.card.laws import keeps_every_law, laws
from tests.card.scenes import Case

CASE = Case("wrong-side", "a5", False, "front")


class Laws:
    def law_that_is_kept(self, case: Case) -> None:
        assert case is CASE

    def law_that_is_broken(self, case: Case) -> None:
        assert case.paper == "a4"

    def law_that_fails(self, case: Case) -> None:
        raise KeyError(case.demo)


def test_every_broken_law_is_told() -> None:
    with pytest.raises(ExceptionGroup, match="wrong-side-a5-portrait-front breaks 2 laws") as told:
        keeps_every_law(CASE, sys.modules[__name__])
    assert [error.__notes__[0].split()[0] for error in told.value.exceptions] == [
        "Laws.law_that_is_broken",
        "Laws.law_that_fails",
    ]


def test_all_laws_of_the_card_are_found() -> None:
    assert len([*laws(test_every_card)]) >= 21
    assert len([*laws(test_wrong_way)]) >= 13

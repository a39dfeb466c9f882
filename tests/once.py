"""Work that many tests ask for alike and that is done once for all of them."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def once(work: Callable[P, R], key: Callable[..., Hashable]) -> Callable[P, R]:
    """`work`, done once for every key. The key must hold all that the answer depends on."""
    kept: dict[Hashable, R] = {}

    def asked(*args: P.args, **named: P.kwargs) -> R:
        found = key(*args, **named)
        if found not in kept:
            kept[found] = work(*args, **named)
        return kept[found]

    return asked

"""Laws of a printed card, all tried in one test: every law that is broken is told.

A law is a method `law_*` that takes a case. A card is composed once for all of them, and one
broken law hides no other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import ModuleType

from tests.card.scenes import Case

Law = Callable[[Case], None]


def laws(module: ModuleType) -> Iterator[tuple[str, Law]]:
    """Every law of a module's own classes, with its name."""
    for group in vars(module).values():
        if isinstance(group, type) and group.__module__ == module.__name__:
            for name in vars(group):
                if name.startswith("law_"):
                    yield f"{group.__name__}.{name}", getattr(group(), name)


def keeps_every_law(case: Case, *modules: ModuleType) -> None:
    """Try every law of the modules on a case. Raises a group with an error for each broken law."""
    broken = []
    for module in modules:
        for name, law in laws(module):
            try:
                law(case)
            except Exception as error:
                error.add_note(f"{name} is broken by {case}")
                broken.append(error)
    if broken:
        raise ExceptionGroup(f"{case} breaks {len(broken)} laws", broken)

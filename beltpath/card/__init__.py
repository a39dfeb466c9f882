"""The routing card: page -> scene -> labels -> svg -> export.

``card(study)`` composes one or several studies into pages; a `Card` holds the finished pages and
gives them as SVG, PDF or PNG.
"""

from collections.abc import Sequence

from beltpath.card.document import Card, Options, Page
from beltpath.study import Study

__all__ = ["Card", "Options", "Page", "card"]


def card(studies: Study | Sequence[Study], options: Options | None = None) -> Card:
    """The routing card of one study, or of several behind one another."""
    # The drawing is not loaded before one is wanted: `beltpath check` needs none.
    from beltpath.card.compose import compose

    every = [studies] if isinstance(studies, Study) else list(studies)
    return compose(every, options or Options())

"""The routing card: page -> scene -> labels -> svg -> export.

``card(study)`` composes one or several studies into pages; a `Card` holds the finished pages and
gives them as SVG, PDF or PNG.
"""

from beltpath.card.compose import Card, Options, Page, card

__all__ = ["Card", "Options", "Page", "card"]

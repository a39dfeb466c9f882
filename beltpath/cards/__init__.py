"""The printed sheets. A `Card` holds finished pages and gives them as SVG, PDF or PNG.

Its files from the ground up: paper, text, scene, font, view; belt, tensioner, pulleys, labels,
diagram; svg, cairo, document; page (the kit of every sheet); facts, table, legend, steps, code,
step_looks, step_pictures, wrong_way, hub_loads, true_scale; and one file a sheet: routing_card,
comparison, found_routes, survey_sheet.
"""

from collections.abc import Sequence

from beltpath.cards.document import Card, Options, Page
from beltpath.errors import UsageError
from beltpath.studies import Study

__all__ = ["Card", "Options", "Page", "card"]


def card(studies: Study | Sequence[Study], options: Options | None = None) -> Card:
    """The routing card of one study, or of several behind one another.

    - `studies`: a study, or a list of them.
    - `options`: how the card is printed; None: on A5 in colour.

    Returns the card, in true size on its paper.
    Raises UsageError when there is no study to draw, ExportError for a letter that the font lacks.
    Source: none; nothing is computed but places on paper.
    """
    every = [studies] if isinstance(studies, Study) else studies
    if not isinstance(every, Sequence) or not every or not all(isinstance(s, Study) for s in every):
        raise UsageError("a card is drawn of one study, or of a list of studies with one at least")
    if options is not None and not isinstance(options, Options):
        raise UsageError(f"the options of a card are Options; found {type(options).__name__}")
    # The drawing is not loaded before one is wanted: `beltpath check` needs none.
    from beltpath.cards.routing_card import routing_card

    return routing_card(every, options or Options())

"""Putting a route that was found into the text of its layout file, comments kept."""

from __future__ import annotations

import tomlkit

from beltpath.layout_file import parse
from beltpath.routes.candidate import Candidate
from beltpath.routing import sides_to_write

_BOM = "\ufeff"


def write_route(text: str, candidate: Candidate) -> str:
    """The text of a layout file with the candidate's route in it; all else stays as it is.

    A pulley's `side` is written only where the layout, read with this route, would not come to it
    by itself. Raises LayoutError when the text is not a sound layout.
    """
    layout = parse(text)
    document = tomlkit.parse(text.removeprefix(_BOM))
    document["route"] = list(candidate.route)
    pulleys = document["pulleys"]
    for name, side in sides_to_write(layout, candidate.way).items():
        pulleys[name]["side"] = side
    mark = _BOM if text.startswith(_BOM) else ""
    return mark + tomlkit.dumps(document)

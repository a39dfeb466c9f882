"""What the colour roles of a scene are in ink, for every renderer alike."""

from __future__ import annotations

from collections.abc import Mapping

from beltpath.cards.document import Ink
from beltpath.cards.scene import Colour

COLOURS: Mapping[Ink, Mapping[Colour, str]] = {
    "colour": {
        "ink": "#111111",
        "grey": "#5f5f5f",
        "accent": "#124f8c",
        "fault": "#b00020",
        "paper": "#ffffff",
    },
    "black": {
        "ink": "#000000",
        "grey": "#000000",
        "accent": "#000000",
        "fault": "#000000",
        "paper": "#ffffff",
    },
}

"""From the engine's front view (mm, y up) to the paper (mm, y down), turned or mirrored."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from beltpath.geometry import Point, rotated
from beltpath.layout.keys import Sense
from beltpath.layout.records import SIGN


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """From where the drive is seen: mirrored (from behind), then turned counterclockwise (deg)."""

    mirrored: bool = False
    turned: float = 0.0

    def point(self, world: Point) -> Point:
        """A point as seen, y still up."""
        x, y = world
        angle = radians(self.turned)
        return rotated((-x if self.mirrored else x, y), cos(angle), sin(angle))

    @property
    def handed(self) -> int:
        """−1 when the view turns every sense round."""
        return -1 if self.mirrored else 1

    def sense(self, sense: Sense) -> Sense:
        """A sense of turning as it looks in this view."""
        if not self.mirrored:
            return sense
        return "clockwise" if sense == "counterclockwise" else "counterclockwise"

    def sign(self, sense: Sense) -> int:
        """+1 for a turn that looks counterclockwise in this view."""
        return SIGN[sense] * self.handed

    @property
    def words(self) -> str:
        """How the card names the view."""
        seen = (
            "Seen from behind, looking forward (mirror image)"
            if self.mirrored
            else "Seen from the front, facing the pulleys"
        )
        if self.turned % 360.0 == 0.0:
            return seen
        return f"{seen}; picture turned {self.turned % 360.0:g}° counterclockwise"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A view at a scale: `origin` is where on the paper the world's origin falls."""

    view: View
    scale: float
    origin: Point

    def point(self, world: Point) -> Point:
        """A world point (mm, y up) on the paper (mm, y down)."""
        x, y = self.view.point(world)
        return (self.origin[0] + self.scale * x, self.origin[1] - self.scale * y)

    def direction(self, degrees: float) -> Point:
        """The unit vector on paper of a world direction."""
        x, y = self.view.point((cos(radians(degrees)), sin(radians(degrees))))
        return (x, -y)

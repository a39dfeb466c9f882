"""A plain drawing of what was measured: the net of tape readings, the rims as they came out.

One unit of the drawing is a millimetre. Error ellipses hold 95 % and are drawn ten times too large.
Readings that were left out are full lines and open circles, doubtful names carry a question mark,
so that black on white is enough.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import svgwrite

from beltpath.measure.measurement import Measurement
from beltpath.measure.views import Array

MARGIN = 40.0
TEXT = 10.0
#: The error ellipses are drawn so many times too large.
MAGNIFIED = 10.0
#: Half axes of an ellipse that holds 95 % of a two-dimensional normal: sqrt(−2·ln 0.05).
HOLDS_95 = sqrt(-2.0 * np.log(0.05))
_INK, _DOUBT = "#000000", "#b00020"


def picture(measurement: Measurement) -> str:
    """The SVG text of the net and the rectified rims, seen from the front."""
    low, high = _box(measurement)
    width, height = high - low
    drawing = svgwrite.Drawing(
        size=(f"{width:.0f}mm", f"{height:.0f}mm"),
        viewBox=f"{low[0]:.1f} {-high[1]:.1f} {width:.1f} {height:.1f}",
        debug=False,
    )
    drawing.add(drawing.rect((round(low[0], 1), round(-high[1], 1)), ("100%", "100%"), fill="#fff"))
    _draw_tapes(drawing, measurement)
    _draw_rims(drawing, measurement)
    _draw_centres(drawing, measurement)
    text: str = drawing.tostring()
    return text


def _draw_tapes(drawing: svgwrite.Drawing, measurement: Measurement) -> None:
    group = drawing.add(drawing.g(id="tapes", fill="none", stroke_width=0.6))
    for tape in measurement.tapes:
        start, end = measurement.centres[tape.start].at, measurement.centres[tape.end].at
        ink, dashes = _ink(not tape.kept), "6,3" if tape.kept else "none"
        line = drawing.line(_flipped(start), _flipped(end), stroke=ink, stroke_dasharray=dashes)
        line.set_desc(title=f"{tape.start} to {tape.end}: {tape.measured:.1f} mm")
        group.add(line)
        middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
        said = f"{round(tape.computed - tape.measured, 1) + 0.0:+.1f}"
        group.add(_text(drawing, said, middle, TEXT * 0.8, ink))


def _draw_rims(drawing: svgwrite.Drawing, measurement: Measurement) -> None:
    group = drawing.add(drawing.g(id="rims", fill="none", stroke=_INK, stroke_width=0.8))
    for name, target in measurement.survey.targets.items():
        if target.radius is not None:
            at = measurement.centres[name].at
            group.add(drawing.circle(_flipped(at), round(target.radius, 2)))
    points = drawing.add(drawing.g(id="points", stroke="none"))
    for rim in measurement.rims:
        for place, kept in zip(rim.front, rim.kept, strict=True):
            points.add(
                drawing.circle(_flipped(place), 1.6, fill=_INK)
                if kept
                else drawing.circle(_flipped(place), 3.0, fill="none", stroke=_DOUBT)
            )


def _draw_centres(drawing: svgwrite.Drawing, measurement: Measurement) -> None:
    group = drawing.add(drawing.g(id="centres", fill="none", stroke=_INK, stroke_width=0.5))
    doubtful = {name for suspect in measurement.suspects for name in suspect.pulleys}
    for i, (name, centre) in enumerate(measurement.centres.items()):
        long, short, turn = _axes(measurement.covariance[2 * i : 2 * i + 2, 2 * i : 2 * i + 2])
        x, y = _flipped(centre.at)
        ellipse = drawing.ellipse((x, y), (long, short), transform=f"rotate({-turn:.1f} {x} {y})")
        group.add(ellipse)
        for dx, dy in ((3.0, 0.0), (0.0, 3.0)):
            group.add(drawing.line((x - dx, y - dy), (x + dx, y + dy)))
        origin = name == measurement.survey.layout.crank.name
        said = f"{name} (origin)" if origin else f"{name} ± {centre.sigma:.1f} mm"
        place = (centre.at[0], centre.at[1] - 1.6 * TEXT)
        doubt = name in doubtful
        group.add(_text(drawing, f"{said} ?" if doubt else said, place, TEXT, _ink(doubt)))


def _ink(doubt: bool) -> str:
    return _DOUBT if doubt else _INK


def _axes(covariance: Array) -> tuple[float, float, float]:
    """Half axes (mm, as drawn) of the error ellipse, and the turn of the longer one, degrees."""
    values, vectors = np.linalg.eigh(covariance)
    short, long = (MAGNIFIED * HOLDS_95 * np.sqrt(np.maximum(values, 0.0))).tolist()
    x, y = vectors[:, 1]
    return round(long, 2), round(short, 2), float(np.degrees(np.arctan2(y, x)))


def _text(
    drawing: svgwrite.Drawing, said: str, at: tuple[float, float], size: float, ink: str
) -> svgwrite.container.Group:
    """A line of text in the middle of a place, on a white ground of its own shape."""
    text = drawing.g(font_size=size, font_family="sans-serif", text_anchor="middle")
    x, y = _flipped(at)
    insert = (x, round(y + size / 3.0, 2))
    ground = drawing.text(said, insert=insert, stroke="#fff", stroke_width=size / 3.0, fill="#fff")
    ground["aria-hidden"] = "true"
    text.add(ground)
    text.add(drawing.text(said, insert=insert, fill=ink, stroke="none"))
    return text


def _flipped(at: tuple[float, float]) -> tuple[float, float]:
    """The drawing's y runs down."""
    return round(at[0], 2), round(-at[1], 2) + 0.0


def _box(measurement: Measurement) -> tuple[Array, Array]:
    """The lower left and upper right corner of what is drawn, mm."""
    centres = np.array([centre.at for centre in measurement.centres.values()])
    radii = np.array([target.radius or 0.0 for target in measurement.survey.targets.values()])
    low = (centres - radii[:, None]).min(axis=0) - MARGIN
    high = (centres + radii[:, None]).max(axis=0) + MARGIN
    return low, high

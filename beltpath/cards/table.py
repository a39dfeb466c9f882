"""The table of the pulleys in the order of travel: number, name, face, side, sense, wrap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import degrees, radians
from typing import NamedTuple

from beltpath.cards.legend import face_sign
from beltpath.cards.page import ROW, Block, Column, set_line
from beltpath.cards.scene import Item, Pen, line, turning_arrow
from beltpath.cards.text import LEAST_SIZE, SPARE, width, wrap
from beltpath.cards.view import View
from beltpath.layout.keys import Sense
from beltpath.layout.records import SIGN, Pulley
from beltpath.studies import Study


def table(study: Study, view: View, numbers: Mapping[str, int]) -> Block:
    """Every pulley that the belt meets, a row each; a row is as high as the pulley's name."""

    def build(column: Column) -> None:
        titles = [study.layout.pulleys[c.pulley].title for c in study.path.contacts]
        names_wide = max(width(t, LEAST_SIZE) for t in titles) / SPARE
        columns = _columns(column.wide, max(names_wide, width("pulley", LEAST_SIZE, bold=True)))
        for name, left in columns.at.items():
            if name != "on" or study.verdict != "fail":
                column.text(name, left, bold=True)
        column.y += ROW
        x, y = column.x, column.y + 0.15
        column.items.append(line((x, y), (x + column.wide, y), Pen(width=0.3)))
        column.y += 0.5
        for i in range(len(titles)):
            _row(column, columns, study, i, view, numbers)

    return Block(name="table", title="Pulleys in the order of travel", build=build)


def _row(
    column: Column,
    columns: _Columns,
    study: Study,
    i: int,
    view: View,
    numbers: Mapping[str, int],
) -> None:
    contact, at = study.path.contacts[i], columns.at
    pulley = study.layout.pulleys[contact.pulley]
    seen = view.sense(contact.turns)
    x, y, names = column.x, column.y, wrap(pulley.title, columns.names, LEAST_SIZE)
    column.text(str(numbers.get(contact.pulley, "")), bold=True)
    for k, words in enumerate(names):
        column.items.append(set_line(words, x + at["pulley"], y + k * ROW))
    column.text(_side_word(study, i), at["side"])
    column.items += _sense_icon(x + at["turns"] + 1.6, y + ROW / 2.0 - 0.3, SIGN[seen])
    column.text(_sense_words(seen, columns.senses), at["turns"] + 4.2)
    wrapped = f"{degrees(contact.wrap):.0f}°"
    column.items.append(set_line(wrapped, x + column.wide - 0.2, y, anchor="end"))
    column.items += _face(pulley, x + at["face"], y, columns.faces)
    column.y += ROW * len(names)


def _side_word(study: Study, i: int) -> str:
    """The side of the belt that lies on contact `i`; a V-belt has no ribs."""
    side = study.path.sides[i]
    return "V" if side == "ribs" and not study.layout.belt.section.ribbed else side


class _Columns(NamedTuple):
    """Where each column of the table begins, mm; and whether senses and faces are in words."""

    at: Mapping[str, float]
    senses: bool
    faces: bool

    @property
    def names(self) -> float:
        """How wide a pulley's name may be, mm."""
        return self.at["face"] - self.at["pulley"] - 1.0


def _columns(wide: float, names: float) -> _Columns:
    """The roomiest columns that hold names so wide; the narrowest, if none does."""
    for senses, faces in ((True, True), (True, False), (False, True)):
        turns = 37.0 if senses else 13.5
        at = _placed(wide, 6.0, (18.0 if faces else 9.5, 10.5, turns, 0.2))
        found = _Columns(at, senses, faces)
        if found.names >= names:
            return found
    return _Columns(_placed(wide, 5.4, (8.6, 8.6, 11.4, 0.0)), False, False)


def _placed(wide: float, names_at: float, widths: tuple[float, ...]) -> dict[str, float]:
    """Columns from the right: those of face, side and turns, and what is spare behind the wrap."""
    face, side, turns, spare = widths
    wrap_at = wide - width("wrap", LEAST_SIZE, bold=True) - spare
    turns_at = wrap_at - turns
    return {
        "on": 0.0,
        "pulley": names_at,
        "face": turns_at - side - face,
        "side": turns_at - side,
        "turns": turns_at,
        "wrap": wrap_at,
    }


def _face(pulley: Pulley, x: float, y: float, words: bool) -> Iterator[Item]:
    """A pulley's face in a word, or as the sign that the drawing and the legend have for it."""
    if words:
        yield set_line(pulley.face, x, y)
    else:
        yield from face_sign(pulley.face, x + 0.5, y + ROW / 2.0 - 0.2)


def _sense_words(sense: Sense, spelled: bool) -> str:
    if spelled:
        return sense
    return "cw" if sense == "clockwise" else "ccw"


def _sense_icon(x: float, y: float, sign: int) -> tuple[Item, ...]:
    pen = Pen(stroke="accent", width=0.3)
    return turning_arrow(
        (x, y), 1.25, sign, middle=radians(-90), sweep=radians(250), pen=pen, head=1.3
    )

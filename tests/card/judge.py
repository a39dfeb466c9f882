"""The laws of placement, judged on what a page paints.

`faults` gives a sentence for every place where a page breaks one; a good page gives none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import shapely

from beltpath.cards import Page
from beltpath.cards.diagram import Diagram
from beltpath.cards.labels import Placed
from beltpath.cards.scene import Disc, Stamp, Words
from beltpath.studies import Study
from tests.card.scenes import (
    Piece,
    Shape,
    circle,
    group,
    has_group,
    inked,
    is_head,
    painted,
    pieces,
    text_box,
)

#: Boxes may touch; sharing more than this (mm²) is lying on one another.
TOUCH = 1e-6
#: Rounding of the last place of a float, mm.
HAIR = 1e-6
#: A label's leader may end this far from it and still belong to it, mm.
BESIDE = 1.0


def faults(page: Page, study: Study) -> Iterator[str]:
    """Everything that is wrong with the places of things on a page."""
    yield from off_the_page(page)
    yield from texts_on_texts(page)
    yield from texts_on_ink(page)
    if page.diagram is not None:
        yield from out_of_its_box(page, page.diagram)
        drawn = Drawn.of(page, study)
        yield from drawn.labels_on_things()
        yield from drawn.leaders_through_things()
        yield from drawn.leaders_to_nowhere()
        yield from drawn.pulleys_unnamed()
        yield from drawn.unlike_what_is_recorded()


# --- any page -----------------------------------------------------------------------------------


def off_the_page(page: Page) -> Iterator[str]:
    """Ink outside the printable box; what a clip hides is not there."""
    printable = page.paper.printable
    inside = shapely.box(
        printable.x - HAIR, printable.y - HAIR, printable.right + HAIR, printable.bottom + HAIR
    )
    # A stroke runs half of its width over its line: rules at the edge of the box may do so.
    for piece in pieces(page.items):
        shape = text_box(piece.item) if isinstance(piece.item, Words) else _middle(piece.item)
        if piece.clip is not None:
            shape = shape.intersection(piece.clip)
        if not shape.is_empty and not inside.covers(shape):
            yield f"outside the printable box: {_named(piece)}"


def texts_on_texts(page: Page) -> Iterator[str]:
    """Two lines of text on each other."""
    texts = [
        (box, piece.item.text)
        for piece in pieces(page.items)
        if isinstance(piece.item, Words)
        if not (box := _shown(text_box(piece.item), piece)).is_empty
    ]
    boxes = [box for box, _ in texts]
    for i, j in shapely.STRtree(boxes).query(boxes, predicate="intersects").T:
        if i < j and boxes[i].intersection(boxes[j]).area > TOUCH:
            yield f"{texts[i][1]!r} lies on {texts[j][1]!r}"


def texts_on_ink(page: Page) -> Iterator[str]:
    """Black text on ink and white text off it, in the written parts of a page."""
    drawn = {g.name for g in page.diagram.groups} if page.diagram is not None else set()
    every = [
        piece
        for piece in pieces(page.items)
        if piece.groups[0] not in {*drawn, "template"}
        and not piece.groups[-1].startswith(("step-", "wrong-way-"))
    ]
    ink = [(inked(p.item), p) for p in every if not isinstance(p.item, Words)]
    tree = shapely.STRtree([shape for shape, _ in ink])
    for piece in every:
        if not isinstance(piece.item, Words):
            continue
        item = piece.item
        box = text_box(item)
        under = shapely.union_all([ink[i][0] for i in tree.query(box, predicate="intersects")])
        if item.colour == "paper":
            # White words have no descenders: capitals, and NOT VERIFIED's count of faults.
            letters = shapely.box(
                box.bounds[0], item.at[1] - 0.76 * item.size, box.bounds[2], item.at[1]
            )
            if not under.buffer(HAIR).covers(letters):
                yield f"white on white: {item.text!r}"
        elif under.intersection(box).area > TOUCH:
            yield f"on ink: {item.text!r}"


def out_of_its_box(page: Page, diagram: Diagram) -> Iterator[str]:
    """Parts of the drawing outside the room that the page gives it."""
    box = diagram.box
    room = shapely.box(box.x - HAIR, box.y - HAIR, box.right + HAIR, box.bottom + HAIR)
    for piece in pieces(diagram.groups):
        if isinstance(piece.item, Words):
            continue
        if not room.covers(_middle(piece.item)):
            yield f"outside the drawing's box: {_named(piece)}"


def _middle(item: Shape) -> shapely.Geometry:
    box = item.box
    half = 0.0 if isinstance(item, Stamp) or item.pen.stroke is None else item.pen.width / 2.0
    # `box` counts the pen's width for filled shapes without a stroke too; their pens are 0 wide.
    return shapely.box(box.x + half, box.y + half, box.right - half, box.bottom - half)


def _shown(shape: shapely.Geometry, piece: Piece) -> shapely.Geometry:
    return shape if piece.clip is None else shape.intersection(piece.clip)


def _named(piece: Piece) -> str:
    item = piece.item
    what = repr(item.text) if isinstance(item, Words) else type(item).__name__
    return f"{'/'.join(piece.groups)}: {what} at {item.box}"


# --- the drawing --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Drawn:
    """The drawing of a page as shapes: bands, discs and boxes, each made from what is painted."""

    study: Study
    labels: tuple[Placed, ...]
    boxes: tuple[shapely.Geometry, ...]
    texts: tuple[Words, ...]
    lines: tuple[shapely.LineString | None, ...]
    discs: dict[str, shapely.Geometry]
    belt: shapely.Geometry
    tensioner: shapely.Geometry
    marks: shapely.Geometry

    @classmethod
    def of(cls, page: Page, study: Study) -> Drawn:
        """Take a page's drawing apart."""
        assert page.diagram is not None
        labels = page.diagram.labels
        discs = {name: _rim(page, i) for i, name in enumerate(study.layout.pulleys, start=1)}
        # Pulleys are painted over the tensioner's arm and dial, and hide what lies under them.
        names = [name for name in ("arm", "tensioner") if has_group(page, name)]
        tensioner = shapely.union_all([_ink(page, name) for name in names]).difference(
            shapely.union_all(list(discs.values()))
        )
        return cls(
            study=study,
            labels=labels,
            boxes=tuple(
                shapely.box(label.box.x, label.box.y, label.box.right, label.box.bottom)
                for label in labels
            ),
            texts=tuple(
                piece.item
                for piece in pieces(_items(page, "labels"))
                if isinstance(piece.item, Words)
            ),
            lines=tuple(
                None if label.leader is None else shapely.LineString(label.leader)
                for label in labels
            ),
            discs=discs,
            belt=shapely.union(_ink(page, "belt"), _ink(page, "travel")),
            tensioner=tensioner,
            marks=_ink(page, "faults"),
        )

    def labels_on_things(self) -> Iterator[str]:
        """Labels on labels, on the belt, on foreign pulleys, on the tensioner or a fault's mark."""
        for (one, a), (other, b) in combinations(zip(self.labels, self.boxes, strict=True), 2):
            if a.intersection(b).area > TOUCH:
                yield f"label {one.request.key} lies on label {other.request.key}"
        for label, box in zip(self.labels, self.boxes, strict=True):
            key = label.request.key
            if box.intersects(self.belt):
                yield f"label {key} lies on the belt"
            if box.intersects(self.tensioner):
                yield f"label {key} lies on the tensioner"
            if box.intersects(self.marks):
                yield f"label {key} lies on a fault's mark"
            for name, disc in self.discs.items():
                own = key == f"pulley:{name}" and disc.contains(box)
                if box.intersects(disc) and not own:
                    yield f"label {key} lies on pulley {name}"

    def leaders_through_things(self) -> Iterator[str]:
        """Leaders through foreign pulleys, labels and leaders."""
        for i, (label, line) in enumerate(zip(self.labels, self.lines, strict=True)):
            if line is None:
                continue
            key = label.request.key
            owners = (label.request.owner, *label.request.also)
            for name, disc in self.discs.items():
                if name not in owners and line.intersects(disc.buffer(-0.2)):
                    yield f"the leader of {key} runs through pulley {name}"
            for j, (other, box) in enumerate(zip(self.labels, self.boxes, strict=True)):
                if i != j and line.intersects(box):
                    yield f"the leader of {key} runs through label {other.request.key}"
                crossed = self.lines[j]
                if i < j and crossed is not None and line.intersects(crossed):
                    yield f"the leaders of {key} and {other.request.key} cross"

    def leaders_to_nowhere(self) -> Iterator[str]:
        """A leader starts at its label and ends at what it names."""
        for label, box, line in zip(self.labels, self.boxes, self.lines, strict=True):
            if line is None:
                continue
            start, end = (shapely.Point(p) for p in line.coords)
            if start.distance(box) > BESIDE or box.buffer(-HAIR).intersects(line):
                yield f"the leader of {label.request.key} does not start at its label"
            kind, _, name = label.request.key.partition(":")
            if kind == "pulley" and end.distance(self.discs[name].exterior) > 0.1:
                yield f"the leader of {label.request.key} does not end at its pulley"
            if kind == "finding" and end.distance(self.marks) > 0.3:
                yield f"the leader of {label.request.key} does not end at a mark"
            if kind in ("stop", "pivot") and end.distance(self.tensioner) > 1.0:
                yield f"the leader of {label.request.key} does not end at the tensioner"

    def pulleys_unnamed(self) -> Iterator[str]:
        """Pulleys of the route that carry neither name nor number."""
        texts = {label.request.key: label.text.lines for label in self.labels}
        numbers: list[str] = []
        for contact in self.study.path.contacts:
            lines = texts.get(f"pulley:{contact.pulley}")
            if lines is None:
                yield f"pulley {contact.pulley} has no label"
                continue
            number = lines[0].split()[0]
            if not number.isdecimal():
                yield f"pulley {contact.pulley} has no number: {lines}"
            numbers.append(number)
        if sorted(numbers) != sorted(map(str, range(1, len(numbers) + 1))):
            yield f"pulleys are not numbered through: {numbers}"

    def unlike_what_is_recorded(self) -> Iterator[str]:
        """What is painted as labels is what the labels say, each line in its label's box."""
        said = sorted(line for label in self.labels for line in label.text.lines)
        if said != sorted(item.text for item in self.texts):
            yield f"painted labels differ: {said}"
        for item in self.texts:
            box = text_box(item).buffer(-HAIR)
            if not any(whole.covers(box) for whole in self.boxes):
                yield f"{item.text!r} is painted outside its label's box"


def _rim(page: Page, number: int) -> shapely.Geometry:
    """A pulley's disc: its largest circle."""
    circles = [
        piece.item
        for piece in pieces(_items(page, f"pulley-{number}"))
        if isinstance(piece.item, Disc)
    ]
    rim = max(circles, key=lambda disc: disc.radius)
    return circle(rim.centre, rim.radius)


def _ink(page: Page, name: str) -> shapely.Geometry:
    """All that a group inks."""
    return shapely.union_all(
        [inked(p.item) for p in pieces(_items(page, name)) if not isinstance(p.item, Words)]
    )


def _items(page: Page, name: str) -> Sequence[Shape | Words]:
    if not has_group(page, name):
        return ()
    return [p.item for p in pieces(group(page, name).items)]


# --- print rules and signs ----------------------------------------------------------------------


def unprintable(page: Page) -> Iterator[str]:
    """Text under 2.3 mm capital height, strokes and dashes under 0.2 mm."""
    for piece in pieces(page.items):
        item = piece.item
        if isinstance(item, Words):
            # The card's face: capitals are 0.688 em high, see test_metrics.
            if item.size * 0.688 < 2.3:
                yield f"small text: {_named(piece)}"
            continue
        if isinstance(item, Stamp):
            if item.module < 0.2:
                yield f"small squares of {item.module}: {_named(piece)}"
            continue
        if item.pen.stroke is not None and item.pen.width < 0.2:
            yield f"thin line of {item.pen.width}: {_named(piece)}"
        if item.pen.dash and min(item.pen.dash[::2]) < 0.2:
            yield f"thin dashes of {item.pen.dash}: {_named(piece)}"
        if isinstance(item, Disc) and item.pen.stroke is None and item.radius < 0.2 - HAIR:
            yield f"small dot of {item.radius}: {_named(piece)}"


def hidden_signs(page: Page, *, lever: bool) -> Iterator[str]:
    """Signs of the tensioner that something painted later covers, by more than 2 % of their area.

    `lever` looks at the arrow of the lever, else at stops, window and the mark of where it stands.
    """
    if page.diagram is None or not has_group(page, "tensioner"):
        return
    every = [p for p in pieces(page.diagram.groups) if not isinstance(p.item, Words)]
    first = max(i for i, p in enumerate(every) if p.groups[-1] == "tensioner") + 1
    signs = group(page, "tensioner").box
    near = shapely.box(signs.x, signs.y, signs.right, signs.bottom)
    over = shapely.union_all(
        [
            shape
            for p in every[first:]
            if p.groups[-1] != "labels" and not isinstance(p.item, Words)
            if (shape := painted(p.item)).intersects(near)
        ]
    ).intersection(near)
    for piece in every:
        item = piece.item
        if piece.groups[-1] != "tensioner" or isinstance(item, Words):
            continue
        kind = _sign(item)
        if kind is None or (kind == "arrow") != lever:
            continue
        whole = painted(item)
        hidden = whole.intersection(over).area / whole.area
        if hidden > 0.02:
            yield f"{100 * hidden:.0f} % of the tensioner's {kind} is hidden"


def _sign(item: Shape) -> str | None:
    if isinstance(item, Stamp) or item.pen.stroke == "paper":
        return None
    if is_head(item) or item.pen.stroke == "accent":
        return "arrow"
    if isinstance(item, Disc):
        return "mark"
    return {0.4: "stop", 0.8: "window"}.get(item.pen.width)

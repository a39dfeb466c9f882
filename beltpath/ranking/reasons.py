"""What tells one route from the others, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from beltpath.layout.layout import Layout
from beltpath.ranking.rank import Judge, StudiedRoute
from beltpath.routing.search import FoundRoute
from beltpath.words import decimals, listed, unit


def reasons(layout: Layout, judge: Judge, one: StudiedRoute, best: StudiedRoute) -> tuple[str, ...]:
    """What tells this route from the best one, and what speaks for and against it."""
    found = [*_fit(layout, one), *_faults(one), *_senses(layout, judge, one.found)]
    if one is not best:
        found += _unlike(layout, one.found, best.found)
    found += _slack_side(layout, judge, one.found)
    found += _grip(layout, judge, one)
    return tuple(found)


def _fit(layout: Layout, one: StudiedRoute) -> Iterator[str]:
    fit, belt, length = one.fit, layout.belt, one.study.path.length
    takes = f"{fit.shortest:.0f} to {fit.longest:.0f} mm"
    if belt.length is None or fit.off is None:
        yield f"It needs a belt of {length:.0f} mm{_over_travel(layout, one, takes)}."
    elif fit.off != 0.0:
        yield (
            f"The belt in hand ({belt.length:.0f} mm) is {abs(fit.off):.0f} mm too "
            f"{'short' if fit.off < 0.0 else 'long'}: this way takes {takes}."
        )
    elif fit.position is None:
        yield f"The belt in hand ({belt.length:.0f} mm) fits: this way takes {takes}."
    else:
        window = {True: ", inside its window", False: ", outside its window", None: ""}
        yield (
            f"The belt in hand ({belt.length:.0f} mm) fits: the tensioner then stands at "
            f"{_position(layout, fit.position)}{window[fit.in_window]}."
        )
    if belt.length is not None and not fit.as_measured:
        yield (
            "Where the tensioner's pulley was measured the belt cannot go this way: lay it so, "
            "then measure that pulley and its stops again."
        )
    if fit.tightens is False:
        yield "The tensioner would slacken the belt: towards its free stop this way gets shorter."
    if one.left_out:
        yield f"It leaves out {_listed(layout, one.left_out)}."


def _over_travel(layout: Layout, one: StudiedRoute, takes: str) -> str:
    fit = one.fit
    if fit.position is None:
        return ""
    where = "where it was measured"
    if not fit.as_measured:
        where = (
            f"at {_position(layout, fit.position)}, for where it was measured the belt cannot go "
            f"this way"
        )
    return f" with the tensioner {where}; its travel takes {takes}"


def _faults(one: StudiedRoute) -> Iterator[str]:
    faults = [f.check for f in one.study.findings if f.level == "fault"]
    if faults:
        yield f"It carries faults: {', '.join(dict.fromkeys(faults))}."


def _senses(layout: Layout, judge: Judge, found: FoundRoute) -> Iterator[str]:
    for name in judge.wrong_senses(found):
        yield (
            f"It turns {layout.pulleys[name].title} {found.turns_of[name]}, against what the "
            f"layout declares."
        )
    smooth = judge.ribs_on_smooth(found)
    if smooth:
        yield (
            f"The ribs run on the smooth face of {_listed(layout, smooth)}, where the belt's back "
            f"usually runs."
        )


def _unlike(layout: Layout, found: FoundRoute, best: FoundRoute) -> Iterator[str]:
    """How this route differs from the best one: where they part, what turns the other way."""
    for before, here, there in zip(found.route, found.route[1:], best.route[1:], strict=False):
        if here != there:
            titles = [layout.pulleys[name].title for name in (before, here, there)]
            yield f"Unlike the first way it goes from {titles[0]} to {titles[1]}, not {titles[2]}."
            break
    other = best.turns_of
    turned = [name for name, sense in found.turns_of.items() if other.get(name, sense) != sense]
    if turned:
        yield f"It turns {_listed(layout, turned)} the other way than the first does."


def _slack_side(layout: Layout, judge: Judge, found: FoundRoute) -> Iterator[str]:
    first = judge.driven_first(found)
    if first:
        yield (
            f"The tensioner is not on the slack side: the belt drives {_listed(layout, first)} "
            f"between the crank and it."
        )
    elif layout.tensioner is not None:
        yield "The tensioner is on the slack side."


def _grip(layout: Layout, judge: Judge, one: StudiedRoute) -> Iterator[str]:
    path = one.study.path
    wrap, name = judge.least_grip(one.found.route, [c.wrap for c in path.contacts])
    yield f"Its least wrap is {wrap:.0f}°, on {layout.pulleys[name].title}."


def _position(layout: Layout, position: float) -> str:
    return decimals(position) + ("" if layout.tensioner is None else unit(layout.tensioner))


def _listed(layout: Layout, names: Sequence[str]) -> str:
    return listed([layout.pulleys[name].title for name in names])

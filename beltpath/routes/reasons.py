"""What tells one way from the others, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from beltpath.layout import Layout
from beltpath.routes.candidate import Trial
from beltpath.routes.ranking import Judge
from beltpath.routing import Way


def reasons(layout: Layout, judge: Judge, trial: Trial, best: Trial) -> tuple[str, ...]:
    """What tells this way from the best one, and what speaks for and against it."""
    found = [*_fit(layout, trial), *_faults(trial), *_senses(layout, judge, trial.way)]
    if trial is not best:
        found += _unlike(layout, trial.way, best.way)
    found += _slack_side(layout, judge, trial.way)
    found += _grip(layout, judge, trial)
    return tuple(found)


def _fit(layout: Layout, trial: Trial) -> Iterator[str]:
    fit, belt, length = trial.fit, layout.belt, trial.study.path.length
    takes = f"{fit.shortest:.0f} to {fit.longest:.0f} mm"
    if belt.length is None or fit.off is None:
        yield f"It needs a belt of {length:.0f} mm{_over_travel(layout, trial, takes)}."
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
    if trial.left_out:
        yield f"It leaves out {_listed(layout, trial.left_out)}."


def _over_travel(layout: Layout, trial: Trial, takes: str) -> str:
    fit = trial.fit
    if fit.position is None:
        return ""
    where = "where it was measured"
    if not fit.as_measured:
        where = (
            f"at {_position(layout, fit.position)}, for where it was measured the belt cannot go "
            f"this way"
        )
    return f" with the tensioner {where}; its travel takes {takes}"


def _faults(trial: Trial) -> Iterator[str]:
    faults = [f.check for f in trial.study.findings if f.level == "fault"]
    if faults:
        yield f"It carries faults: {', '.join(dict.fromkeys(faults))}."


def _senses(layout: Layout, judge: Judge, way: Way) -> Iterator[str]:
    for name in judge.wrong_senses(way):
        yield (
            f"It turns {layout.pulleys[name].title} {way.turns_of[name]}, against what the layout "
            f"declares."
        )
    smooth = judge.ribs_on_smooth(way)
    if smooth:
        yield (
            f"The ribs run on the smooth face of {_listed(layout, smooth)}, where the belt's back "
            f"usually runs."
        )


def _unlike(layout: Layout, way: Way, best: Way) -> Iterator[str]:
    """How this way goes otherwise than the best one: where they part, what turns the other way."""
    for before, here, there in zip(way.route, way.route[1:], best.route[1:], strict=False):
        if here != there:
            titles = [layout.pulleys[name].title for name in (before, here, there)]
            yield f"Unlike the first way it goes from {titles[0]} to {titles[1]}, not {titles[2]}."
            break
    other = best.turns_of
    turned = [name for name, sense in way.turns_of.items() if other.get(name, sense) != sense]
    if turned:
        yield f"It turns {_listed(layout, turned)} the other way than the first does."


def _slack_side(layout: Layout, judge: Judge, way: Way) -> Iterator[str]:
    first = judge.driven_first(way)
    if first:
        yield (
            f"The tensioner is not on the slack side: the belt drives {_listed(layout, first)} "
            f"between the crank and it."
        )
    elif layout.tensioner is not None:
        yield "The tensioner is on the slack side."


def _grip(layout: Layout, judge: Judge, trial: Trial) -> Iterator[str]:
    path = trial.study.path
    wrap, name = judge.least_grip(trial.way.route, [c.wrap for c in path.contacts])
    yield f"Its least wrap is {wrap:.0f}°, on {layout.pulleys[name].title}."


def _position(layout: Layout, position: float) -> str:
    slides = layout.tensioner is not None and layout.tensioner.kind == "slide"
    return f"{position:.1f} mm" if slides else f"{position:.1f}°"


def _listed(layout: Layout, names: Sequence[str]) -> str:
    titles = [layout.pulleys[name].title for name in names]
    return titles[0] if len(titles) == 1 else f"{', '.join(titles[:-1])} and {titles[-1]}"

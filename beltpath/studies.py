"""study(layout) -> Study: the one facade that commands, card and board stand on."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import ClassVar

from beltpath import checks
from beltpath.checks.findings import Finding, Verdict, verdict
from beltpath.checks.judged import forces_doubtful
from beltpath.errors import UsageError
from beltpath.layout.layout import Layout
from beltpath.refit.order import Refit, refit
from beltpath.solve.drive import Drive, solve
from beltpath.solve.forces import Forces, forces
from beltpath.solve.path import BeltPath
from beltpath.solve.tensioner import Stand
from beltpath.solve.uncertainty import Uncertainty, length_uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """A layout solved and checked. Lengths in mm, angles in degrees, forces in N.

    - `drive`: the layout with the belt's path and where the tensioner stands.
    - `uncertainty`: the ± of the length, at 95 %.
    - `refit`: how the belt comes off and goes on.
    - `forces`: None without `[running]`, or where they cannot be known or relied on (checks `slip`
      and `plausibility` say why).
    - `findings`: what the checks found, faults first.
    """

    drive: Drive
    uncertainty: Uncertainty
    refit: Refit
    forces: Forces | None
    findings: tuple[Finding, ...]
    #: How a notebook draws a study. The drawing stands below this room; `library` sets it.
    picture: ClassVar[Callable[[Study], str | None] | None] = None

    def __repr__(self) -> str:
        """One line: what it is of, the verdict, the length."""
        return f"<Study {self.layout.title!r}: {self.verdict}, {self.path.length:.1f} mm>"

    def _repr_svg_(self) -> str | None:
        """The first page of its card, which a notebook shows."""
        draw = type(self).picture
        return None if draw is None else draw(self)

    @property
    def layout(self) -> Layout:
        """The layout that was studied."""
        return self.drive.layout

    @property
    def path(self) -> BeltPath:
        """The belt's path."""
        return self.drive.path

    @property
    def stand(self) -> Stand | None:
        """Where the tensioner stands; None without one."""
        return self.drive.stand

    @property
    def verdict(self) -> Verdict:
        """pass, caution or fail: the worst finding decides."""
        return verdict(self.findings)


def study(layout: Layout) -> Study:
    """Solve a layout and run every check on it.

    - `layout`: the drive.

    Returns the study, in mm, degrees and N. A drive that is wrong but can be computed has findings.
    Raises PathError when no belt can be laid along the route at all, UsageError for what is no
    layout.
    Source: docs/theory.md for the formulas, docs/checks.md for the limits.
    """
    if not isinstance(layout, Layout):
        raise UsageError(f"a study is of a Layout; found {type(layout).__name__}")
    return studied(solve(layout))


def studied(drive: Drive, *, without: Collection[str] = ()) -> Study:
    """A solved drive with all that follows from it; `without` names checks to leave out."""
    found = forces(drive)
    return Study(
        drive=drive,
        uncertainty=length_uncertainty(drive.layout, drive.path),
        refit=refit(drive),
        forces=None if found is None or forces_doubtful(drive, found) else found,
        findings=checks.run(drive, without=without),
    )

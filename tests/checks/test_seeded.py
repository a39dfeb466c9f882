"""Each check has something put wrong that it alone finds, and sound drives that it passes."""

from __future__ import annotations

import re

import pytest

from beltpath import checks
from beltpath.checks.findings import verdict
from tests.checks.drives import SEEDS, SOUND, Seed, findings_of

#: What a finding tells a person to do begins with one of these words.
ADVICE = re.compile(
    r"\b(Route|route|Fit|fit|Measure|measure|Check|Correct|Change|Move|Turn|Look|look|Exchange|Shim"
    r"|would give)\b"
)


@pytest.mark.parametrize("drive", SOUND)
def test_a_sound_drive_passes_every_check(drive: str) -> None:
    findings = findings_of(SOUND[drive])
    assert findings == ()
    assert verdict(findings) == "pass"


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: f"{seed.check}-{seed.level}-{seed.says}")
def test_a_seeded_fault_is_found_by_its_check_alone(seed: Seed) -> None:
    findings = findings_of(seed.drive, *seed.changes)
    assert {(f.check, f.level) for f in findings} == {(seed.check, seed.level)}
    finding = next(f for f in findings if f.pulleys == seed.pulleys)
    assert seed.says in finding.message
    assert verdict(findings) == ("fail" if seed.level == "fault" else "caution")


@pytest.mark.parametrize("seed", SEEDS, ids=lambda seed: f"{seed.check}-{seed.level}-{seed.says}")
def test_a_finding_says_what_to_do_and_where_its_limit_comes_from(seed: Seed) -> None:
    for finding in findings_of(seed.drive, *seed.changes):
        assert finding.message[0].isupper() or finding.message.startswith(finding.pulleys)
        assert finding.message.endswith(".")
        assert ADVICE.search(finding.message)
        assert len(finding.source) > 10
        # The belt as a whole has no one place on the drawing; everything else has.
        assert bool(finding.where) == bool(finding.pulleys)


def test_every_registered_check_has_a_seed() -> None:
    """A check that is added without a seed in `drives.SEEDS` fails here."""
    # Their seeds are in tests/routes/test_look_alike.py and in test_mirrored.py.
    apart = {"look-alike", "mirrored"}
    assert sorted({seed.check for seed in SEEDS} | apart) == sorted(checks.names())


def test_every_check_of_the_design_s_geometry_and_tensioner_is_registered() -> None:
    wanted = (
        "side rotation missed crossing overlap clearance wrap grooves diameter length alignment "
        "travel over-centre slack-side release"
    )
    assert set(wanted.split()) <= set(checks.names())

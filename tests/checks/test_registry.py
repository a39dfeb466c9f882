"""The register: names are unique, findings carry their check's name, faults come first."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from beltpath import checks
from beltpath.checks import register as registry
from beltpath.checks.findings import Finding, Level, verdict
from beltpath.solve.drive import Drive
from tests.checks.drives import SPRUNG, drive_of, findings_of


def finding(check: str, level: Level) -> Finding:
    return Finding(check=check, level=level, pulleys=(), message="m", source="s")


def test_no_two_checks_share_a_name() -> None:
    names = checks.names()
    assert len(set(names)) == len(names)
    with pytest.raises(ValueError, match="two checks are called side"):
        registry.check("side")(lambda drive: ())


def test_a_check_cannot_speak_in_another_s_name(monkeypatch: pytest.MonkeyPatch) -> None:
    def stray(drive: Drive) -> Iterator[Finding]:
        yield finding("wrap", "note")

    monkeypatch.setitem(registry._CHECKS, "stray", stray)
    monkeypatch.setattr(registry, "ORDER", (*registry.ORDER, "stray"))
    with pytest.raises(ValueError, match="check stray gave a finding called wrap"):
        checks.run(drive_of(SPRUNG))


def test_faults_come_before_cautions_before_notes(monkeypatch: pytest.MonkeyPatch) -> None:
    def remark(drive: Drive) -> Iterator[Finding]:
        yield finding("remark", "note")

    monkeypatch.setattr(registry, "_CHECKS", {"remark": remark, **registry._CHECKS})
    monkeypatch.setattr(registry, "ORDER", ("remark", *registry.ORDER))
    findings = findings_of(
        SPRUNG,
        ('role = "alternator"', 'role = "alternator", min_wrap = 160'),
        ('release = "clockwise"', 'release = "counterclockwise"'),
    )
    assert [(f.check, f.level) for f in findings] == [
        ("release", "fault"),
        ("wrap", "caution"),
        ("remark", "note"),
    ]


@pytest.mark.parametrize(
    ("levels", "says"),
    [
        ((), "pass"),
        (("note",), "pass"),
        (("note", "caution"), "caution"),
        (("caution", "fault"), "fail"),
    ],
)
def test_the_worst_finding_decides(levels: tuple[Level, ...], says: str) -> None:
    assert verdict(finding("any", level) for level in levels) == says

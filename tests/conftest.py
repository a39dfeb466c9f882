"""What holds for all tests: one hypothesis profile, and which files coverage does not trace."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

HERE = Path(__file__).parent
#: Tracing doubles a test's time. These files do much and are not needed for the coverage floors:
#: every line that they reach in the core has a test of its own elsewhere.
UNTRACED = (
    "card/test_every_card.py",
    "card/test_paint.py",
    "card/test_random.py",
    "card/test_found_routes.py",
    "cli/test_fuzz.py",
    "core/test_reader_fuzz.py",
    "docs/test_gallery.py",
    "nightly/test_nightly.py",
)

# A slow or busy machine is no reason to fail.
settings.register_profile("beltpath", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("beltpath")


def pytest_collection_modifyitems(items: Sequence[pytest.Item]) -> None:
    """Mark the tests of those files for pytest-cov."""
    untraced = {HERE / name for name in UNTRACED}
    for item in items:
        if item.path in untraced:
            item.add_marker(pytest.mark.no_cover)

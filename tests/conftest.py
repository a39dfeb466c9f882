"""One hypothesis profile for all tests: a slow or busy machine is no reason to fail."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile("beltpath", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("beltpath")

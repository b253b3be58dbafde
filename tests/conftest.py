"""What holds for all tests: laws are tried with the same seed in CI, and no test is timed."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "house")

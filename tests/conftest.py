"""What several areas share: toy plugins and small patterns, so that the core is tested without
any bundled plugin."""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import settings

# Machines differ and are busy: a slow example is no fault. How many are tried is what two cores do
# in a few minutes; a test's own settings say otherwise. What `.ci/run` tries is the same each time,
# so that a change is judged by itself; at home chance goes on looking.
_IN_CI = bool(os.environ.get("CI") or os.environ.get("SEAMWRIGHT_REQUIRE_BROWSER"))
settings.register_profile("house", deadline=None, max_examples=40, derandomize=_IN_CI)
settings.load_profile("house")

_PLACE = Path(__file__).parent / "toys.py"


@pytest.fixture(scope="session")
def toys() -> ModuleType:
    """The module tests/toys.py."""
    if "seamwright_test_toys" not in sys.modules:
        spec = importlib.util.spec_from_file_location("seamwright_test_toys", _PLACE)
        assert spec is not None and spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["seamwright_test_toys"] = module
        spec.loader.exec_module(module)
    return sys.modules["seamwright_test_toys"]

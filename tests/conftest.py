"""What several areas share: toy plugins and small patterns, so that the core is tested without
any bundled plugin."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

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

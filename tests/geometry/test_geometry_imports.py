"""What the geometry room costs to import."""

from __future__ import annotations

import subprocess
import sys


def test_the_kernel_needs_numpy_alone() -> None:
    code = (
        "import sys, seamwright.geometry; "
        "print([m for m in ('scipy', 'shapely', 'ezdxf', 'svgelements') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"

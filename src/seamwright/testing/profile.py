"""How hard the suites try."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings


def tries(count: int) -> settings:
    """Settings for a property of a suite: `count` examples, no deadline (machines differ).
    SEAMWRIGHT_TRIES=10 in the environment tries ten times as many.

    A suite's method is run by every class derived from it; each class is another format or step,
    so what hypothesis calls differing executors is what the suite is for.
    """
    return settings(
        max_examples=max(1, round(count * _harder())),
        deadline=None,
        suppress_health_check=[
            HealthCheck.differing_executors,
            HealthCheck.too_slow,
            HealthCheck.data_too_large,
        ],
    )


def _harder() -> float:
    try:
        return min(max(float(os.environ.get("SEAMWRIGHT_TRIES", "1")), 0.1), 1000.0)
    except ValueError:
        return 1.0

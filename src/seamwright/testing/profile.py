"""How hard the suites try."""

from __future__ import annotations

from hypothesis import HealthCheck, settings


def tries(count: int) -> settings:
    """Settings for a property of a suite: `count` examples, no deadline (machines differ).

    A suite's method is run by every class derived from it; each class is another format or step,
    so what hypothesis calls differing executors is what the suite is for.
    """
    return settings(
        max_examples=count,
        deadline=None,
        suppress_health_check=[
            HealthCheck.differing_executors,
            HealthCheck.too_slow,
            HealthCheck.data_too_large,
        ],
    )

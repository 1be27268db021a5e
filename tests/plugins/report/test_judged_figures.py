"""Figures of a report as a reader sees them."""

from __future__ import annotations

import pytest

from seamwright_report.say import Say


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
@pytest.mark.parametrize("mm", [-0.0, -1e-13, -0.004])
def test_nothing_has_no_sign(unit: str, mm: float) -> None:
    say = Say(unit)
    assert not say.short(mm).startswith("-")
    assert not say.exact(mm).startswith("-")


def test_what_is_shorter_keeps_its_sign() -> None:
    assert Say("mm").short(-0.26) == "-0.3"
    assert Say("cm").short(-2.6) == "-0.26"
    assert Say("mm").exact(-0.26) == "-0.26 mm"

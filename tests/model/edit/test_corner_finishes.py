"""How corners of a cut line were finished is told from it, and repeated when it is remade."""

from __future__ import annotations

import numpy as np
import pytest

from seamwright.geometry import CUBIC, LINE, Curve, line_segments
from seamwright.geometry.outline_offset import MITRE, CornerRule
from seamwright.model import Shape, build_shape
from seamwright.model.edit import make_cut_line, renew, transform
from seamwright.model.edit.finish import corner_finishes

RULES = [
    CornerRule(style="fold", first="before"),
    CornerRule(style="fold", first="after"),
    CornerRule(style="square", first="before"),
    CornerRule(style="square", first="after"),
    CornerRule(style="blunt"),
]


def skirt() -> Shape:
    """A flared panel with a curved hem and slanted sides."""
    hem = np.array([[[0, 0], [80, -8], [160, -8], [240, 6]]], float)
    rest = line_segments([[240, 6], [200, 400], [10, 410]], [[200, 400], [10, 410], [0, 0]])
    outline = Curve.from_segments(
        np.concatenate((hem, rest)), [CUBIC, LINE, LINE, LINE], closed=True
    )
    return build_shape(size="M", outline=outline, corner_names=["hem-a", "hem-b", "top-b", "top-a"])


def at(shape: Shape, name: str) -> int:
    return [c.name for c in shape.corners].index(name)


def finished(shape: Shape, name: str, rule: CornerRule) -> Shape:
    rules = [MITRE] * 4
    rules[at(shape, name)] = rule
    widths = [10.0] * 4
    widths[at(shape, "hem-a")] = 30.0
    return make_cut_line(shape, widths, rules).shape


@pytest.mark.parametrize("rule", RULES, ids=lambda r: f"{r.style}-{r.first}")
@pytest.mark.parametrize("name", ["hem-a", "hem-b", "top-b"])
def test_the_rule_that_was_used_is_found_or_one_that_does_the_same(
    rule: CornerRule, name: str
) -> None:
    shape = finished(skirt(), name, rule)
    found = corner_finishes(shape)
    i = at(shape, name)
    assert [r for k, r in enumerate(found) if k != i] == [MITRE] * 3
    again = finished(skirt(), name, found[i] or MITRE)
    assert found[i] is not None and again.cut_line is not None and shape.cut_line is not None
    places = shape.cut_line.point_at(np.linspace(0, shape.cut_line.length, 400)[:-1])
    assert again.cut_line.nearest(places).distances.max() < 0.03


def test_a_remade_cut_line_has_its_corners_as_before() -> None:
    for rule in RULES:
        old = finished(skirt(), "hem-b", rule)
        longer = [[1.0, 0.0, 0.0], [0.0, 1.05, 0.0]]
        new = transform(old, longer).but(cut_line=None, allowances=())
        renewed = renew(new, old)
        assert (renewed.cut_line, renewed.mitred) == ("remade", ())
        expected = finished(transform(skirt(), longer), "hem-b", rule)
        assert renewed.shape.cut_line is not None and expected.cut_line is not None
        places = expected.cut_line.point_at(np.linspace(0, expected.cut_line.length, 400)[:-1])
        assert renewed.shape.cut_line.nearest(places).distances.max() < 0.03


def test_a_corner_drawn_by_hand_is_named() -> None:
    old = finished(skirt(), "hem-b", MITRE)
    assert old.cut_line is not None
    line = old.cut_line
    tip = float(line.nearest(old.seam_line.point_of(old.corner("top-b").station)[None]).lengths[0])
    # Cut off askew: 3 mm before the tip to 7 mm behind it.
    corner = np.hypot(*(line.joints - line.point_at(tip)).T).argmin()
    at_tip = float(line.cumulative[corner])
    rest = line.part((at_tip + 7.0) % line.length, (at_tip - 3.0) % line.length)
    by_hand = old.but(cut_line=rest.joined(Curve.line(rest.end, rest.start)).closed_up())
    renewed = renew(by_hand.but(cut_line=None), by_hand)
    assert renewed.cut_line == "remade" and renewed.mitred == ("top-b",)
    assert "top-b" in renewed.said

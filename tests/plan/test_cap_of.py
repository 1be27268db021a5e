"""The sleeve cap, found from the plan alone."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import Notch, Pattern, Piece, Shape, build_shape
from seamwright.model.edit import transform
from seamwright.plan import apply_plan, cap_of, has_cap, load_plan
from seamwright.testing.strategies import sleeves


def bodice(size: str, armhole: float) -> Shape:
    outline = Curve.polyline([(0, armhole), (0, 0), (150, 0), (150, armhole)], closed=True)
    return build_shape(size=size, outline=outline)


PLAN = """
[pieces.Back]
corners = ["", "", "underarm", "shoulder"]
[pieces.Front]
corners = ["", "", "underarm", "shoulder"]
[[seam]]
name = "back"
sew = "Sleeve: underarm-back > shoulder"
to = "Back: underarm > shoulder"
cap = "back"
[[seam]]
name = "front"
sew = "Sleeve: underarm-front > shoulder"
to = "Front: underarm > shoulder"
cap = "front"
"""


def style(*made: Shape, plan: str = PLAN, back: float = 215.0, front: float = 211.0) -> Pattern:
    sizes = [s.size for s in made]
    pattern = Pattern(
        name="x",
        pieces=(
            Piece(name="Sleeve", shapes=made),
            Piece(name="Back", shapes=tuple(bodice(s, back) for s in sizes)),
            Piece(name="Front", shapes=tuple(bodice(s, front) for s in sizes)),
        ),
        sizes=tuple(sizes),
        base_size=sizes[0],
    )
    return apply_plan(pattern, load_plan(plan))[0]


@settings(max_examples=60)
@given(sleeves())
def test_both_halves_of_a_drawn_sleeve(drawn: tuple[Shape, float]) -> None:
    shape, whole = drawn
    large = transform(shape, [[1.1, 0.0, 0.0], [0.0, 1.1, 0.0]]).but(size="L")
    cap = cap_of(style(shape, large))
    assert (cap.sleeve, cap.shoulder) == ("Sleeve", "shoulder")
    assert (cap.underarm_back, cap.underarm_front) == ("underarm-back", "underarm-front")
    both = cap.back.lengths + cap.front.lengths
    assert both == pytest.approx([whole, 1.1 * whole], abs=1e-6)
    assert cap.back.ease == pytest.approx(cap.back.lengths - 215)
    assert cap.front.ease == pytest.approx(cap.front.lengths - 211)
    for z, one in enumerate((shape, large)):
        back, front = (half.curve(one, z) for half in cap.halves)
        assert np.hypot(*(back.end - front.end)) < 1e-6
        top = one.seam_line.point_of(one.notch("shoulder").station)
        assert np.hypot(*(back.end - top)) < 1e-6
        assert back.length == pytest.approx(cap.back.lengths[z], abs=1e-6)


@pytest.fixture(scope="module")
def sleeve() -> Shape:
    """A sleeve like the strategies draw, in plain numbers."""
    cap = np.array(
        [
            [[160, 0], [80, 4], [80, 130], [0, 130]],
            [[0, 130], [-80, 130], [-80, 4], [-165, 0]],
        ],
        dtype=float,
    )
    rest = np.array([[-165.0, 0.0], [-120, -400], [120, -400], [160, 0]])
    outline = Curve.from_segments(
        np.concatenate([cap, line_segments(rest[:-1], rest[1:])]), [1, 1, 0, 0, 0], closed=True
    )
    return build_shape(
        size="M",
        outline=outline,
        corners=[Station(0, 0), Station(2, 0), Station(3, 0), Station(4, 0)],
        corner_names=["underarm-front", "underarm-back", "wrist-back", "wrist-front"],
        notches=[
            Notch(name="front", station=Station(0, 0.4)),
            Notch(name="shoulder", station=Station(1, 0.0)),
            Notch(name="back", station=Station(1, 0.6)),
        ],
    )


REFUSED = [
    ('cap = "back"\n', "", "cap.half", 'no seam marked cap = "back"'),
    ('cap = "front"', 'cap = "back"', "cap.half", '2 seams marked cap = "back"'),
    # The halves start at the wrong underarm point: each runs over the whole cap or meets itself.
    (
        "underarm-front > shoulder",
        "underarm-back > shoulder",
        "cap.order",
        "the same way",
    ),
    ('underarm-back > shoulder"\nto', 'wrist-back > front"\nto', "cap.shoulder", '"front"'),
    ("underarm-front > shoulder", "underarm-front > front", "cap.shoulder", "different points"),
    (
        'sew = "Sleeve: underarm-back > shoulder"',
        'sew = ["Sleeve: underarm-back > back", "Sleeve: back > shoulder"]',
        "cap.sleeve",
        "not one run",
    ),
    ('underarm-back > shoulder"\nto', 'underarm-back > front > shoulder"\nto', "cap.order", ""),
]


@pytest.mark.parametrize(("old", "new", "code", "said"), REFUSED)
def test_refusals(sleeve: Shape, old: str, new: str, code: str, said: str) -> None:
    assert old in PLAN
    text = PLAN.replace(old, new) if code != "cap.half" else PLAN.replace(old, new, 1)
    pattern = style(sleeve, plan=text)
    with pytest.raises(SeamwrightError) as caught:
        cap_of(pattern)
    assert caught.value.finding.code == code
    assert said in caught.value.finding.message
    assert caught.value.finding.hint


def test_no_cap_at_all(sleeve: Shape) -> None:
    pattern = style(sleeve, plan=PLAN.replace('cap = "back"\n', "").replace('cap = "front"\n', ""))
    assert not has_cap(pattern)
    with pytest.raises(SeamwrightError) as caught:
        cap_of(pattern)
    assert caught.value.finding.code == "cap.none"


def test_the_shoulder_point_must_lie_above_the_bicep_line(sleeve: Shape) -> None:
    # A "cap" that is dented into the sleeve.
    outline = Curve.polyline(
        [(-160, 0), (-100, -200), (0, 50), (100, -200), (160, 0), (0, 300)], closed=True
    )
    names = ["underarm-back", "x", "shoulder", "y", "underarm-front", "z"]
    shape = build_shape(
        size="M", outline=outline, corners=[Station(i, 0) for i in range(6)], corner_names=names
    )
    with pytest.raises(SeamwrightError, match="bicep line") as caught:
        cap_of(style(shape))
    assert caught.value.finding.code == "cap.order"


def test_two_sleeves(sleeve: Shape) -> None:
    one = style(sleeve)
    pieces = (*one.pieces, one.piece("Sleeve").but(name="Short sleeve"))
    more = load_plan(PLAN[PLAN.index("[[seam]]") :].replace("Sleeve:", "Short sleeve:")).seams
    seams = (*one.seams, *(s for s in more))
    both = one.but(pieces=pieces, seams=seams)
    with pytest.raises(SeamwrightError) as caught:
        cap_of(both)
    assert caught.value.finding.code == "cap.several"
    assert cap_of(both, sleeve="Short sleeve").sleeve == "Short sleeve"
    with pytest.raises(SeamwrightError) as caught:
        cap_of(both, sleeve="Shirt sleeve")
    assert str(caught.value.finding.hint).startswith('did you mean "Short sleeve"')

"""The cap step held against figures from outside: published ease, the trade's rules of where ease
lies, plain trigonometry, and an integration that is not ours."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest
from scipy.integrate import quad

from seamwright.geometry import CUBIC, LINE, Curve, FloatArray, Station, line_segments
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.paper import find_cloth
from seamwright.plan import cap_of, walk
from seamwright.plugins.building import build
from seamwright.plugins.context import Context
from seamwright_cap_ease.edge import Located
from seamwright_cap_ease.options import EaseCap
from seamwright_cap_ease.step import run

INCH = 25.4
# A cap drawn for these tests: back underarm, shoulder point, front underarm.
BACK = [
    [(-165, 0), (-138, 4), (-118, 28), (-96, 62)],
    [(-96, 62), (-70, 102), (-44, 133), (0, 133)],
]
FRONT = [[(0, 133), (38, 133), (62, 108), (86, 66)], [(86, 66), (106, 31), (126, 3), (155, 0)]]


def sleeve(cap: FloatArray, kinds: list[int], top: int, notches: dict[str, float]) -> Shape:
    """A sleeve under a cap (K, 4, 2) whose shoulder point starts segment `top`; notches by mm
    from the back underarm."""
    (ax, ay), (bx, by) = cap[0, 0], cap[-1, 3]
    low = np.array([[bx, by], [0.7 * bx, by - 200], [0.7 * ax, ay - 200], [ax, ay]])
    outline = Curve.from_segments(
        np.concatenate([cap, line_segments(low[:-1], low[1:])]),
        np.array([*kinds, LINE, LINE, LINE], np.uint8),
        closed=True,
    )
    n = len(cap)
    return build_shape(
        size="M",
        outline=outline,
        corners=[Station(0, 0.0), Station(n, 0.0), Station(n + 1, 0.0), Station(n + 2, 0.0)],
        corner_names=["underarm-back", "underarm-front", "wrist-front", "wrist-back"],
        notches=[
            Notch(name="shoulder", station=Station(top, 0.0)),
            *(Notch(name=k, station=outline.station_at(s)) for k, s in notches.items()),
        ],
    )


def style(shape: Shape, back: float, front: float, at: dict[str, float]) -> Pattern:
    """The sleeve and two armholes of given lengths, a notch on each `at` mm from the underarm."""

    def bodice(name: str, length: float) -> Piece:
        corners = np.array([[0, 0], [250, 0], [250, 300], [0, length]], dtype=float)
        line = Curve.polyline(corners, closed=True)
        armhole = line.length - length
        made = build_shape(
            size="M",
            outline=line,
            corners=[Station(i, 0.0) for i in range(4)],
            corner_names=["underarm", "hem", "neck", "shoulder"],
            notches=[Notch(name="notch", station=line.station_at(armhole + length - at[name]))],
        )
        return Piece(name=name, shapes=(made,))

    def seam(side: str) -> Seam:
        return Seam(
            name=side,
            sew=Run(parts=(RunPart(piece="Sleeve", marks=(f"underarm-{side}", "shoulder")),)),
            to=Run(parts=(RunPart(piece=side.capitalize(), marks=("underarm", "shoulder")),)),
            meet=((side, "notch"),),
            cap=side,  # type: ignore[arg-type]
        )

    pieces = (Piece(name="Sleeve", shapes=(shape,)), bodice("Back", back), bodice("Front", front))
    seams = (seam("back"), seam("front"))
    return Pattern(name="x", pieces=pieces, sizes=("M",), base_size="M", seams=seams)


def independent_length(segments: FloatArray) -> float:
    """Arc length by adaptive quadrature of the hodograph (scipy, QUADPACK)."""
    total = 0.0
    for p in segments:
        d = 3 * np.diff(p, axis=0)

        def speed(t: float, d: FloatArray = d) -> float:
            s = 1 - t
            x, y = s * s * d[0] + 2 * s * t * d[1] + t * t * d[2]
            return hypot(x, y)

        total += quad(speed, 0, 1, epsabs=1e-11, epsrel=1e-12, limit=200)[0]
    return total


@pytest.fixture(scope="module")
def eased() -> tuple[Pattern, Pattern]:
    """A sleeve with 1 1/4 in of ease in each half, its lower armhole set plain, before and after
    it was eased for plain woven cloth."""
    cap = np.array(BACK + FRONT, dtype=float)
    lengths = (
        Curve.from_segments(np.array(BACK, float)).length,
        (Curve.from_segments(np.array(FRONT, float)).length),
    )
    notches = {"back": 90.0, "front": sum(lengths) - 85.0}
    shape = sleeve(cap, [CUBIC] * 4, 2, notches)
    ease = 1.25 * INCH
    before = style(shape, lengths[0] - ease, lengths[1] - ease, {"Back": 90.0, "Front": 85.0})
    result = run(before, build(EaseCap, {"cloth": "plain woven"}), Context())
    assert result.pattern is not before, result.findings
    return before, result.pattern


def test_three_quarters_of_an_inch_in_all(eased: tuple[Pattern, Pattern]) -> None:
    # D. McCunn, How to Make Sewing Patterns, p. 74, later note: 3/4 in in all, 3/8 in a side.
    w = walk(eased[1])
    assert w.ease[:, 0] == pytest.approx([3 / 8 * INCH, 3 / 8 * INCH], abs=1e-6)


def test_no_ease_below_the_notches(eased: tuple[Pattern, Pattern]) -> None:
    # The lower armhole is set plain, fullness lies over the top between the notches ("Women:
    # Design and Construction", Testing Shirtwaist Pattern, part 3, chestofbooks.com).
    before, after = (walk(p) for p in eased)
    low = [i for i, name in enumerate(after.stretch_names) if name[0].startswith("underarm")]
    assert len(low) == 2
    assert before.stretch_ease[low, 0] == pytest.approx([0, 0], abs=1e-9)
    assert after.stretch_ease[low, 0] == pytest.approx([0, 0], abs=1e-6)


def test_notches_still_meet(eased: tuple[Pattern, Pattern]) -> None:
    # Counted from the underarm, a sleeve notch sits at the armhole notch's length plus the ease
    # intended up to there: none (common practice, no source).
    w = walk(eased[1])
    assert w.pair_sew[:, 0] == pytest.approx(w.pair_to[:, 0], abs=1e-6)


def test_lengths_by_another_integration(eased: tuple[Pattern, Pattern]) -> None:
    cap = cap_of(eased[1])
    shape = eased[1].piece("Sleeve").shapes[0]
    for half, to in ((cap.back, 0), (cap.front, 1)):
        length = independent_length(half.curve(shape, 0).segments)
        armhole = walk(eased[1]).to_lengths[to, 0]
        assert length - armhole == pytest.approx(3 / 8 * INCH, abs=1e-6)


def test_the_bicep_line_is_the_bicep_line(eased: tuple[Pattern, Pattern]) -> None:
    for pattern in eased:
        line = pattern.piece("Sleeve").shapes[0]
        a, b = (line.seam_line.point_of(line.corner(f"underarm-{s}").station)
                for s in ("back", "front"))  # fmt: skip
        assert hypot(*(a - b)) == pytest.approx(320.0, abs=1e-9)


@pytest.mark.parametrize(
    ("front", "back", "height", "bicep"), [(215, 225, 150, 321.73), (220, 230, 140, 352.19)]
)
def test_bicep_from_straight_cap_sides(
    front: float, back: float, height: float, bicep: float
) -> None:
    # Plain trigonometry: bicep = sqrt(F^2 - h^2) + sqrt(B^2 - h^2).
    x, y = -sqrt(back**2 - height**2), sqrt(front**2 - height**2)
    cap = line_segments(np.array([[x, 0], [0, height]]), np.array([[0, height], [y, 0]]))
    shape = sleeve(cap, [LINE, LINE], 1, {"back": 100.0, "front": back + 110.0})
    pattern = style(shape, back - 10, front - 10, {"Back": 100.0, "Front": front - 110.0})
    edge = Located(pattern, cap_of(pattern)).edge("M")
    assert edge.bicep == pytest.approx(bicep, abs=0.005)
    assert edge.height(edge.shoulder) == pytest.approx(height)
    assert (edge.run("back"), edge.run("front")) == pytest.approx((back, front))


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        # Both halves together, in inches, as the sources give them.
        ("plain woven", None, 3 / 4),  # McCunn, as above
        ("set-in sleeve", 1, 1 + 7 / 8),  # Santa Rosa Junior College, FASH 60, page 7.2
        ("jacket", 1, 1 + 1 / 2),  # S. Khalje, The Vindicator, 2 Oct 2004
        ("knit", None, 1 / 2),  # a technical designer's article, 2012, second-hand
        ("coat wool with a sleeve head", None, 1 + 1 / 2),  # common practice, no source
        ("firm woven", None, 5 / 8 + 1 / 2),  # common practice, no source
    ],
)
def test_the_cloth_table_says_what_its_sources_say(
    name: str, least: float | None, most: float
) -> None:
    cloth = find_cloth(name)
    assert cloth.back.at_most + cloth.front.at_most == pytest.approx(most * INCH)
    if least is not None:
        assert cloth.back.at_least is not None and cloth.front.at_least is not None
        assert cloth.back.at_least + cloth.front.at_least == pytest.approx(least * INCH)

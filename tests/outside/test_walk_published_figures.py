"""Walking against figures that stand elsewhere: handbooks, geometry, an independent integration.

Each test names its source. Pieces are constructed so that the published figure follows from their
geometry alone, and nothing of this program computes the expected value.
"""

from __future__ import annotations

import numpy as np
import pytest
from mpmath import mp, mpf
from mpmath import quad as integral

from seamwright.geometry import Curve, Station, line_segments
from seamwright.model import Dart, Notch, Pattern, Piece, Shape, build_shape
from seamwright.plan import apply_plan, cap_of, load_plan, walk
from seamwright.plugins.api import Context
from seamwright_walk.options import WalkOptions
from seamwright_walk.plugin import seamwright_steps

INCH = 25.4


def panel(armhole: float, notch: float | None = None) -> Shape:
    """A bodice panel with a straight armhole, "underarm > shoulder"."""
    outline = Curve.polyline([(0, armhole), (0, 0), (150, 0), (150, armhole)], closed=True)
    return build_shape(
        size="M",
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["x", "y", "underarm", "shoulder"],
        notches=[] if notch is None else [Notch(name="notch", station=Station(2, notch / armhole))],
    )


def sleeve(front: np.ndarray, back: np.ndarray, notches: list[Notch] | None = None) -> Shape:
    """A sleeve from its cap: front (F, 4, 2) from underarm to shoulder, back (B, 4, 2) onwards."""
    rest = np.array([back[-1, 3], [-110.0, -400.0], [110.0, -400.0], front[0, 0]])
    segments = np.concatenate([front, back, line_segments(rest[:-1], rest[1:])])
    f, n = len(front), len(front) + len(back)
    return build_shape(
        size="M",
        outline=Curve.from_segments(segments, [1] * n + [0] * 3, closed=True),
        corners=[Station(0, 0), Station(n, 0), Station(n + 1, 0), Station(n + 2, 0)],
        corner_names=["underarm-front", "underarm-back", "wrist-back", "wrist-front"],
        notches=[Notch(name="shoulder", station=Station(f, 0.0)), *(notches or [])],
    )


def straight(front: tuple[float, float], back: tuple[float, float], height: float) -> Shape:
    """A sleeve whose cap sides are straight lines."""
    top = (0.0, height)
    return sleeve(line_segments([front], [top]), line_segments([top], [back]))


def blouse(sleeve: Shape, back: Shape, front: Shape, ease: str = "") -> Pattern:
    pattern = Pattern(
        name="blouse",
        pieces=(
            Piece(name="Sleeve", shapes=(sleeve,)),
            Piece(name="Back", shapes=(back,)),
            Piece(name="Front", shapes=(front,)),
        ),
        sizes=("M",),
        base_size="M",
    )
    seams = "".join(
        f'[[seam]]\nname = "{side}"\ncap = "{side}"\n{ease}\n'
        f'sew = "Sleeve: underarm-{side} > shoulder"\n'
        f'to = "{side.title()}: underarm > shoulder"\n'
        for side in ("back", "front")
    )
    return apply_plan(pattern, load_plan(seams))[0]


@pytest.mark.parametrize(
    ("f", "b", "h", "bicep"), [(215, 225, 150, 321.73), (220, 230, 140, 352.19)]
)
def test_bicep_of_a_sleeve_with_straight_cap_sides(
    f: float, b: float, h: float, bicep: float
) -> None:
    """Geometry: with straight cap sides F and B and cap height h the bicep line is
    sqrt(F^2 - h^2) + sqrt(B^2 - h^2) wide. Drawn from bicep and height, the walk must find F and
    B again; the two worked figures are those of the closed form to a hundredth."""
    x_front, x_back = np.sqrt(f * f - h * h), -np.sqrt(b * b - h * h)
    assert x_front - x_back == pytest.approx(bicep, abs=0.005)
    pattern = blouse(straight((x_front, 0), (x_back, 0), h), panel(b - 10), panel(f - 9))
    cap = cap_of(pattern)
    assert cap.back.lengths[0] == pytest.approx(b, abs=1e-9)
    assert cap.front.lengths[0] == pytest.approx(f, abs=1e-9)
    assert (cap.back.ease[0], cap.front.ease[0]) == pytest.approx((10, 9), abs=1e-9)
    # Two of three fix the third: raising the cap at equal seam lengths narrows the bicep.
    higher = np.sqrt(f * f - (h + 5) ** 2) + np.sqrt(b * b - (h + 5) ** 2)
    assert higher < bicep


def test_the_handbooks_three_quarters_of_an_inch() -> None:
    """A basic woven sleeve has 3/4 in of ease in all, 3/8 in front and 3/8 in back: D. McCunn, How
    to Make Sewing Patterns, p. 74, in the author's later note on that page."""
    armhole_back, armhole_front, height = 8.5 * INCH, 8.0 * INCH, 5.5 * INCH
    back, front = armhole_back + 3 / 8 * INCH, armhole_front + 3 / 8 * INCH
    x_back, x_front = -np.sqrt(back**2 - height**2), np.sqrt(front**2 - height**2)
    pattern = blouse(
        straight((x_front, 0), (x_back, 0), height),
        panel(armhole_back),
        panel(armhole_front),
        ease='ease = "3/8 in"',
    )
    step = seamwright_steps()[0]
    found = step.run(pattern, WalkOptions(), Context(units="in"))
    assert [f.code for f in found.findings] == ["cap.ease"]
    assert "back 3/8 in and front 3/8 in, 3/4 in in all" in found.findings[0].message
    assert found.figures["cap"][0]["total"] == pytest.approx(19.05, abs=1e-9)
    assert [row["verdict"] for row in found.figures["seams"]] == ["ok", "ok"]


# The cap of a drafted sleeve, three cubics a side (invented draft; the figures that count here are
# the integrals below).
BACK: list[list[tuple[float, float]]] = [
    [(0, 135), (-24, 135), (-44.8, 125.34), (-62, 109)],
    [(-62, 109), (-82, 90), (-96, 64), (-112, 42)],
    [(-112, 42), (-128, 20), (-146, 5), (-169, 0)],
]
FRONT: list[list[tuple[float, float]]] = [
    [(161, 0), (134, 4), (112.5, 15.8), (96, 40)],
    [(96, 40), (81, 62), (73, 86.6), (55, 107)],
    [(55, 107), (40, 124), (23, 135), (0, 135)],
]


def integrated(segments: list[list[tuple[float, float]]], end: float = 1.0) -> float:
    """Arc length by mpmath at 30 digits, of the first segment up to `end` only, if below 1."""
    mp.dps = 30
    total = mpf(0)
    for points in segments if end == 1.0 else segments[:1]:
        p = [tuple(mpf(str(c)) for c in point) for point in points]

        def speed(t: object, p: list[tuple[object, ...]] = p) -> object:
            x, y = (
                3 * (1 - t) ** 2 * (p[1][i] - p[0][i])  # type: ignore[operator]
                + 6 * (1 - t) * t * (p[2][i] - p[1][i])  # type: ignore[operator]
                + 3 * t**2 * (p[3][i] - p[2][i])  # type: ignore[operator]
                for i in (0, 1)
            )
            return (x * x + y * y) ** mpf("0.5")

        total += integral(speed, [0, mpf(end) / 2, end])
    return float(total)


def test_a_drafted_cap_against_an_independent_integration() -> None:
    """Lengths of both halves, and of a stretch up to a notch, by Gauss-Legendre in mpmath at 30
    digits: agreement to 1e-9 mm."""
    notches = [Notch(name="front", station=Station(0, 0.37))]
    shape = sleeve(np.array(FRONT, float), np.array(BACK, float), notches)
    pattern = blouse(shape, panel(215.0), panel(211.0, notch=60.0))
    cap = cap_of(pattern)
    assert cap.back.lengths[0] == pytest.approx(integrated(BACK), abs=1e-9)
    assert cap.front.lengths[0] == pytest.approx(integrated(FRONT), abs=1e-9)
    seams = load_plan(
        '[[seam]]\nname = "f"\nsew = "Sleeve: underarm-front > shoulder"\n'
        'to = "Front: underarm > shoulder"\nmeet = ["front = notch"]\n'
    ).seams
    found = walk(pattern.but(seams=seams))
    assert found.stretch_sew[0, 0] == pytest.approx(integrated(FRONT, 0.37), abs=1e-9)
    assert found.stretch_to[:, 0] == pytest.approx([60, 151], abs=1e-9)


def test_a_sleeves_notch_sits_at_the_armholes_notch_and_the_ease_up_to_there() -> None:
    """Walking from the underarm, a sleeve notch sits at the armhole's notch length plus the ease
    intended up to there (common practice, no source). Below its notches the cap is set plain
    ("Women: Design and Construction", Testing Shirtwaist Pattern part 3, chestofbooks.com: the
    fullness lies over the top between the notches), so the notches agree, and the whole ease lies
    in the stretch above."""
    x = np.sqrt(220.0**2 - 140.0**2)
    low = Notch(name="front", station=Station(0, 70 / 220))
    shape = sleeve(line_segments([(x, 0)], [(0, 140)]), line_segments([(0, 140)], [(-x, 0)]), [low])
    pattern = blouse(shape, panel(210.0), panel(210.0, notch=70.0))
    seams = load_plan(
        '[[seam]]\nname = "f"\nsew = "Sleeve: underarm-front > shoulder"\n'
        'to = "Front: underarm > shoulder"\nmeet = ["front = notch"]\n'
    ).seams
    found = walk(pattern.but(seams=seams))
    assert found.stretch_ease[:, 0] == pytest.approx([0, 10], abs=1e-9)
    assert found.miss[0, 0] == pytest.approx(0, abs=1e-9)
    # With 4 mm of the ease intended below: the notch moves up the sleeve by those 4.
    moved = sleeve(
        line_segments([(x, 0)], [(0, 140)]),
        line_segments([(0, 140)], [(-x, 0)]),
        [Notch(name="front", station=Station(0, 74 / 220))],
    )
    found = walk(blouse(moved, panel(210.0), panel(210.0, notch=70.0)).but(seams=seams))
    assert found.stretch_ease[:, 0] == pytest.approx([4, 6], abs=1e-9)
    assert found.miss[0, 0] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("r", "angle", "intake"), [(100, 15, 26.105), (150, 20, 52.094)])
def test_a_closed_dart_takes_its_intake_out_of_the_waist(
    r: float, angle: float, intake: float
) -> None:
    """Geometry: legs of length r at an angle a take in 2 r sin(a/2)."""
    half = r * np.sin(np.radians(angle) / 2)
    outline = Curve.polyline([(-200, 250), (-200, 0), (200, 0), (200, 250)], closed=True)
    dart = Dart(
        name="waist",
        left=Station(1, (200 - half) / 400),
        right=Station(1, (200 + half) / 400),
        apex=(0.0, float(r * np.cos(np.radians(angle) / 2))),
    )
    skirt = build_shape(size="M", outline=outline, darts=[dart])
    band = build_shape(
        size="M",
        outline=Curve.polyline([(0, 40), (0, 0), (300, 0), (300, 40)], closed=True),
    )
    pattern = Pattern(
        name="skirt",
        pieces=(Piece(name="Skirt", shapes=(skirt,)), Piece(name="Band", shapes=(band,))),
        sizes=("M",),
        base_size="M",
    )
    seams = '[[seam]]\nsew = "Skirt: corner-2 > corner-3"\nto = "Band: corner-2 > corner-3"\n'
    found = walk(apply_plan(pattern, load_plan(seams))[0])
    assert found.sew_lengths[0, 0] == pytest.approx(400 - intake, abs=5e-4)
    assert found.ease[0, 0] == pytest.approx(100 - intake, abs=5e-4)


@pytest.mark.parametrize(("off", "severities"), [(1 / 32, []), (3 / 32, ["error"])])
def test_a_sixteenth_of_an_inch_is_what_a_careful_worker_keeps_to(
    off: float, severities: list[str]
) -> None:
    """True to 1/16 in for the careful: home-sewing magazine article "10 Patternwork Skills",
    issue 200, Dec 2018/Jan 2019. Half of it passes, half as much again does not."""
    pieces = tuple(
        Piece(
            name=name,
            shapes=(
                build_shape(
                    size="M",
                    outline=Curve.polyline([(0, h), (0, 0), (99, 0), (99, h)], closed=True),
                ),
            ),
        )
        for name, h in (("Front", 400.0 + off * INCH), ("Back", 400.0))
    )
    pattern = Pattern(name="x", pieces=pieces, sizes=("M",), base_size="M")
    seams = '[[seam]]\nsew = "Front: corner-1 > corner-2"\nto = "Back: corner-1 > corner-2"\n'
    step = seamwright_steps()[0]
    found = step.run(apply_plan(pattern, load_plan(seams))[0], WalkOptions(), Context())
    assert [f.severity.value for f in found.findings] == severities


def test_a_crown_and_its_band() -> None:
    """Geometry: a band round a disc of radius r is 2 pi r long. Circles are cubics within 1e-4 mm
    here, and their length is exact."""
    r = 90.0
    crown = build_shape(
        size="M",
        outline=Curve.circle((0, 0), r),
        corners=[],
        notches=[Notch(name="back", station=Station(0, 0.0))],
    )
    band = build_shape(
        size="M",
        outline=Curve.polyline(
            [(0, 60), (0, 0), (2 * np.pi * r, 0), (2 * np.pi * r, 60)], closed=True
        ),
    )
    pattern = Pattern(
        name="hat",
        pieces=(Piece(name="Crown", shapes=(crown,)), Piece(name="Band", shapes=(band,))),
        sizes=("M",),
        base_size="M",
    )
    seams = '[[seam]]\nsew = "Crown: back > back"\nto = "Band: corner-2 > corner-3"\n'
    found = walk(apply_plan(pattern, load_plan(seams))[0])
    assert found.ease[0, 0] == pytest.approx(0, abs=1e-4)

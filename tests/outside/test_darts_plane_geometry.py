"""Darts against plane geometry worked out elsewhere: with 30 digits, and with polygons."""

from __future__ import annotations

import mpmath
import numpy as np
import pytest
import shapely
from shapely import affinity

from seamwright.geometry import Curve, Station
from seamwright.model import Pattern, Piece, Shape, build_shape
from seamwright.model.edit import wedge_of
from seamwright.model.marking import Dart
from seamwright.pipeline import Pipeline, Use


def style(shape: Shape) -> Pattern:
    return Pattern(
        name="p", pieces=(Piece(name="P", shapes=(shape,)),), sizes=(shape.size,),
        base_size=shape.size,
    )  # fmt: skip


def darted(outline: np.ndarray, left: tuple[int, float], right: tuple[int, float],
           apex: tuple[float, float]) -> Shape:  # fmt: skip
    return build_shape(
        size="M",
        outline=Curve.polyline(outline, closed=True),
        darts=[Dart(name="d", left=Station(*left), right=Station(*right), apex=apex)],
    )


def cloth(shape: Shape) -> shapely.Polygon:
    """The cloth as a polygon: what lies between the legs of the darts cut out."""
    polygon = shapely.Polygon(shape.seam_line.flatten(0.001))
    for dart in shape.darts:
        ends = np.array([shape.seam_line.point_of(dart.left), shape.seam_line.point_of(dart.right)])
        middle = ends.mean(axis=0) - dart.apex
        # Far out beyond the mouth, along both legs.
        out = np.asarray(dart.apex) + 3.0 * (ends - dart.apex)
        assert np.hypot(*middle) > 0
        polygon = polygon.difference(shapely.Polygon([dart.apex, *out]))
    return polygon


@pytest.mark.parametrize(("r", "degrees", "known"), [(100, 15, 26.105), (150, 20, 52.094)])
def test_intake_at_a_distance(r: float, degrees: float, known: float) -> None:
    """2 r sin(a / 2), to 30 digits and against figures worked out by hand."""
    with mpmath.workdps(30):
        exact = 2 * mpmath.mpf(r) * mpmath.sin(mpmath.radians(degrees) / 2)
        half = exact / 2
        height = float(mpmath.sqrt(mpmath.mpf(r) ** 2 - half**2))
    outline = np.array([[0, 0], [400, 0], [400, 500], [0, 500]], float)
    ends = (200 - float(half)) / 400, (200 + float(half)) / 400
    shape = darted(outline, (0, ends[0]), (0, ends[1]), (200.0, height))
    w = wedge_of(shape, shape.darts[0])
    assert w.intake == pytest.approx(float(exact), abs=1e-9)
    assert w.intake == pytest.approx(known, abs=5e-4)
    assert w.angle == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize("share", [1.0, 0.35])
@pytest.mark.parametrize(
    "place", ["P: corner-3 > corner-4 @ 45 %", "P: corner-4 > corner-1 @ 30 %"]
)
def test_a_turned_dart_is_two_polygons_one_of_them_turned(share: float, place: str) -> None:
    """Cut with polygon logic, turned with it, and put together: the same cloth."""
    outline = np.array([[0, 0], [300, 10], [320, 400], [20, 420]], float)
    apex = (140.0, 170.0)
    shape = darted(outline, (0, 0.4), (0, 0.55), apex)
    true, _ = Pipeline([Use("true-dart", pressed="open", largest_shift="5 cm")]).run(style(shape))
    names = {c.name for c in shape.corners}
    assert names == {"corner-1", "corner-2", "corner-3", "corner-4"}
    before = true.piece("P").shapes[0]
    step = (
        Use("move-dart", dart="P", to=place, turns="after")
        if share == 1.0
        else Use("split-dart", dart="P", to=place, share=share, turns="after")
    )
    after, record = Pipeline([step]).run(true)
    new = after.piece("P").shapes[0]
    w = wedge_of(before, before.darts[0])
    opened = next(d for d in new.darts if d.name == record.steps[0].figures["darts"][0]["dart"])
    place_point = new.seam_line.point_of(opened.right)  # the side that stayed
    # The part from the right leg round to the place: cut by two rays from the point.
    a = np.arctan2(*(w.right - w.apex)[::-1])
    b = np.arctan2(*(place_point - w.apex)[::-1])
    angles = a + np.linspace(0.0, (b - a) % (2 * np.pi), 200)
    fan = shapely.Polygon(
        [w.apex, *(w.apex + 2000.0 * np.column_stack((np.cos(angles), np.sin(angles))))]
    )
    whole = cloth(before)
    part, rest = whole.intersection(fan), whole.difference(fan)
    turned = affinity.rotate(part, -share * w.angle, origin=tuple(w.apex))
    made = shapely.union_all([turned, rest])
    assert made.symmetric_difference(cloth(new)).area < 0.5
    assert cloth(new).area == pytest.approx(whole.area, abs=1e-2)


def test_a_trued_dart_is_cut_through_all_layers() -> None:
    """Fold the dart and cut along the edge, as on paper: what a mouth must look like, layer by
    layer with polygon logic."""
    outline = np.array([[0, 30], [120, 0], [180, 0], [300, 40], [300, 400], [0, 400]], float)
    shape = darted(outline, (1, 0.0), (1, 1.0), (150.0, 140.0))
    for pressed in ("centre", "side"):
        after, _ = Pipeline(
            [Use("true-dart", pressed=pressed, toward="P: corner-1")]
        ).run(style(shape))  # fmt: skip
        new = after.piece("P").shapes[0]
        w = wedge_of(new, new.darts[0])
        polygon = shapely.Polygon(new.seam_line.flatten(0.001))
        under = w.left if pressed == "centre" else w.right
        sign = 1.0 if pressed == "centre" else -1.0
        middle = w.apex + 400.0 * w.bisector
        legs = {"near": under, "far": w.right if pressed == "centre" else w.left}

        def wedge(p: np.ndarray, q: np.ndarray, apex: np.ndarray = w.apex) -> shapely.Polygon:
            return shapely.Polygon([apex, apex + 3 * (p - apex), apex + 3 * (q - apex)])

        near = polygon.intersection(wedge(legs["near"], middle))
        far = polygon.intersection(wedge(middle, legs["far"]))
        # The near half over its leg; the far half turned about the point on to it.
        d = (under - w.apex) / np.hypot(*(under - w.apex))
        c, s = 2 * d[0] ** 2 - 1, 2 * d[0] * d[1]
        x, y = w.apex
        over = affinity.affine_transform(near, [c, s, s, -c, x - c * x - s * y, y - s * x + c * y])
        round_ = affinity.rotate(far, -sign * w.angle, origin=tuple(w.apex))
        assert over.symmetric_difference(round_).area < 1e-3
        # Both layers lie under the cloth beside the leg, and end where it ends.
        cover = polygon.difference(wedge(w.left, w.right))
        assert over.difference(cover.buffer(1e-6)).area < 1e-3
        edge = shapely.LineString(new.seam_line.flatten(0.001))
        rim = np.array(over.exterior.coords)
        low = rim[np.argmin(rim[:, 1])]
        assert edge.distance(shapely.Point(low)) < 1e-3

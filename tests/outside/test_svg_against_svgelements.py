"""What we write measures the same for a library that is not ours; what we parse, too.

svgelements (https://pypi.org/project/svgelements/, MIT) reads paths and computes lengths by its
own code. Its millimetre is off by 5.4e-7 (it rounds the pixel), so lengths are taken in user
units, of which ours are millimetres.
"""

from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
import svgelements
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve
from seamwright.plugins.api import Context, Source
from seamwright_svg.drawing.path_data import parse_path
from seamwright_svg.options import SvgIn, SvgOut
from seamwright_svg.plugin import seamwright_formats

FORMAT = seamwright_formats()[0]


def written() -> bytes:
    assert FORMAT.writer is not None
    (part,) = FORMAT.writer.run(blouse(), SvgOut(), Context()).parts
    return part.data


def theirs(data: bytes) -> dict[str, Any]:
    """Paths by id, arcs and curves as they stand, in mm."""
    drawing = svgelements.SVG.parse(io.BytesIO(data), ppi=96, reify=True)
    scale = 25.4 / 96
    return {
        e.id: (svgelements.Path(e) * f"scale({scale})").reify()
        for e in drawing.elements()
        if isinstance(e, svgelements.Path) and e.id
    }


def test_outlines_have_the_same_length_and_box() -> None:
    paths = theirs(written())
    count = 0
    for piece in blouse().pieces:
        for shape in piece.shapes:
            path = paths[f"{piece.name.lower()}-{shape.size.lower()}-seam-line"]
            x0, y0, x1, y1 = path.bbox()
            bx0, by0, bx1, by1 = shape.seam_line.bbox
            assert (x1 - x0, y1 - y0) == pytest.approx((bx1 - bx0, by1 - by0), abs=1e-3)
            assert path.length(error=1e-9) == pytest.approx(shape.seam_line.length, abs=2e-3)
            count += 1
    assert count == 21


def test_lengths_in_the_files_own_units() -> None:
    """Path data alone, without their scaling: to 1e-6 mm."""
    import re

    text = written().decode()
    for piece in blouse(["A", "G"]).pieces:
        for shape in piece.shapes:
            ident = f"{piece.name.lower()}-{shape.size.lower()}-seam-line"
            found = re.search(rf'id="{ident}"[^>]* d="([^"]*)"', text)
            assert found is not None
            total = 0.0
            for segment in svgelements.Path(found.group(1)):
                if isinstance(segment, svgelements.CubicBezier):
                    ends = (segment.start, segment.control1, segment.control2, segment.end)
                    points = np.array([[p.x, p.y] for p in ends])
                    total += gauss(points)
                elif isinstance(segment, svgelements.Line | svgelements.Close):
                    total += abs(complex(segment.end) - complex(segment.start))
            assert total == pytest.approx(shape.seam_line.length, abs=2e-6)


def gauss(p: np.ndarray[Any, np.dtype[np.float64]]) -> float:
    """Length of a cubic by 64 Gauss-Legendre nodes on each of 8 parts."""
    nodes, weights = np.polynomial.legendre.leggauss(64)
    total = 0.0
    for k in range(8):
        t = (k + (nodes + 1) / 2) / 8
        d = 3 * (
            (1 - t)[:, None] ** 2 * (p[1] - p[0])
            + 2 * ((1 - t) * t)[:, None] * (p[2] - p[1])
            + t[:, None] ** 2 * (p[3] - p[2])
        )
        total += float((np.hypot(*d.T) * weights).sum()) / 16
    return total


COMMANDS = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}


@settings(max_examples=150)
@given(
    st.lists(
        st.tuples(
            st.sampled_from("LlHhVvCcSsQqTtZz"),
            st.lists(st.integers(-500, 500), min_size=6, max_size=6),
        ),
        min_size=1,
        max_size=12,
    )
)
def test_path_data_gives_the_same_points(commands: list[tuple[str, list[int]]]) -> None:
    data = "M10,20" + "".join(
        c + " ".join(str(v / 4) for v in numbers[: COMMANDS.get(c.upper(), 0)])
        for c, numbers in commands
    )
    ours = [s.segments for s in parse_path(data)]
    points = np.concatenate([s[:, 3] for s in ours]) if ours else np.empty((0, 2))
    ends = [
        (float(s.end.x), float(s.end.y))
        for s in svgelements.Path(data)
        if not isinstance(s, svgelements.Move)
        and s.end is not None
        # They keep closing lines of no length, and closings of nothing.
        and not (isinstance(s, svgelements.Close) and (s.start is None or s.start == s.end))
    ]
    assert np.allclose(points, np.array(ends).reshape(-1, 2), atol=1e-6)


@settings(max_examples=80)
@given(
    rx=st.floats(5, 400), ry=st.floats(5, 400), turn=st.floats(-180, 180), large=st.booleans(),
    sweep=st.booleans(), x=st.floats(-300, 300), y=st.floats(-300, 300),
)  # fmt: skip
def test_arcs_lie_where_theirs_do(
    rx: float, ry: float, turn: float, large: bool, sweep: bool, x: float, y: float
) -> None:
    # Radii that only just reach put their centre out by the root of a rounding error.
    assume(1.0 < np.hypot(x, y) < 1.8 * min(rx, ry))
    data = f"M0,0A{rx},{ry} {turn} {int(large)} {int(sweep)} {x},{y}"
    (sub,) = parse_path(data, arc_tolerance=1e-6)
    curve = Curve.from_segments(sub.segments, sub.kinds)
    arc = svgelements.Path(data)[1]
    points = np.array(
        [[(p := arc.point(t)).x, p.y] for t in np.linspace(0.01, 0.99, 25)], dtype=float
    )
    assert curve.nearest(points).distances.max() < 1e-4


def test_millimetre_is_not_taken_from_them() -> None:
    """Their own constant would put a metre of seam off by half a micron; ours is exact."""
    root = 'xmlns="http://www.w3.org/2000/svg" width="1000mm" viewBox="0 0 1000 1000"'
    data = f'<svg {root}><rect width="1000" height="1000"/></svg>'.encode()
    assert FORMAT.reader is not None
    shape = (
        FORMAT.reader.run(Source(name="x", data=data), SvgIn(), Context())
        .pattern.pieces[0]
        .shapes[0]
    )
    assert shape.seam_line.length == 4000.0

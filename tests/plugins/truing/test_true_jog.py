"""Jogs and kinks smoothed: what stays, what may change, and what is said."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import seamwright_truing.plugin as plugin
from seamwright.findings import SeamwrightError, Severity
from seamwright.geometry import Curve, FloatArray, Station
from seamwright.geometry.offset import offset_open
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.model.edit import transform
from seamwright.pipeline import Pipeline
from seamwright.plugins.building import build
from seamwright.plugins.context import Context
from seamwright_truing.jog import run
from seamwright_truing.options import TrueJog

TOP = np.array([[(200.0, 150.0), (140.0, 190.0), (60.0, 190.0), (0.0, 150.0)]])


def outline(kind: str, size: float) -> Curve:
    """A piece with a bowed upper edge from (200, 150) to (0, 150); in the middle of that edge a
    jog of `size` mm, a kink of `size` degrees, or nothing."""
    edge = Curve.from_segments(TOP)
    half = edge.length / 2
    a, b = edge.part(0, half), edge.part(half, edge.length)
    if kind == "jog":
        b = b.translated(0.0, -size)
        top = np.concatenate([a.segments, Curve.line(a.end, b.start).segments, b.segments])
    elif kind == "kink":
        # The second half turned about its far end and drawn out to meet the first again.
        c, s = math.cos(math.radians(size)), math.sin(math.radians(size))
        m = np.array([[c, -s], [s, c]])
        pivot = a.end
        turned = (b.segments - pivot) @ m.T + pivot
        top = np.concatenate([a.segments, turned])
    else:
        top = np.concatenate([a.segments, b.segments])
    x, y = top[-1, 3]
    rest = np.array([[x, y], [0.0, 0.0], [200.0, 0.0], [200.0, 150.0]])
    low = Curve.polyline(rest)
    kinds = np.array([1] * len(top) + [0] * low.n, dtype=np.uint8)
    if kind == "jog":
        kinds[1] = 0
    return Curve.from_segments(np.concatenate([top, low.segments]), kinds, closed=True)


def pattern(kind: str, size: float, *, matrix: Any = None, sizes: int = 1) -> Pattern:
    """A style of one piece, its upper edge sewn to its lower one."""
    shapes = []
    for i in range(sizes):
        line = outline(kind, size)
        top = 3 if kind == "jog" else 2
        shape = build_shape(
            size=str(i),
            outline=line,
            corners=[Station(0, 0.0), *(Station(top + k, 0.0) for k in range(3))],
            corner_names=["right", "left", "low-left", "low-right"],
            notches=[
                Notch(name="a", station=line.station_at(20.0)),
                Notch(name="mid", station=line.station_at(100.0)),
                Notch(name="b", station=line.station_at(205.0)),
            ],
        )
        shapes.append(shape if matrix is None else transform(shape, matrix))
    seam = Seam(
        name="top",
        sew=Run(parts=(RunPart(piece="Yoke", marks=("right", "left")),)),
        to=Run(parts=(RunPart(piece="Yoke", marks=("low-left", "low-right")),)),
    )
    names = tuple(s.size for s in shapes)
    return Pattern(
        name="blouse",
        pieces=(Piece(name="Yoke", shapes=tuple(shapes)),),
        sizes=names,
        base_size=names[0],
        seams=(seam,),
    )


def step(before: Pattern, **options: Any) -> Any:
    given_ = {k.replace("_", "-"): v for k, v in options.items()}
    return run(before, build(TrueJog, {"run": ["Yoke: right > left"]} | given_), Context())


def top_edge(after: Pattern, z: int = 0) -> Curve:
    shape = after.pieces[0].shapes[z]
    for edge in shape.edges:
        if {edge.start, edge.end} == {"right", "left"}:
            return shape.edge_curve(edge.number)
    raise AssertionError("the upper edge is gone")


def ends(curve: Curve) -> FloatArray:
    back = curve.reversed()
    return np.array([curve.start, curve.end, curve.tangent_at(0.0), back.tangent_at(0.0)])


FEW = settings(max_examples=20, deadline=None)


@FEW
@given(
    st.sampled_from(["jog", "kink"]),
    st.floats(0.6, 6.0),
    st.floats(15.0, 60.0),
    st.booleans(),
    st.floats(0, 2 * math.pi),
    st.booleans(),
)
def test_smooths_and_keeps_what_it_must(
    kind: str, size: float, within: float, keep: bool, turn: float, mirrored: bool
) -> None:
    amount = size if kind == "jog" else 4.0 + 4.0 * size
    c, s = math.cos(turn), math.sin(turn)
    m = np.array([[c, -s, 30.0], [s, c, -70.0]]) @ np.diag([-1.0 if mirrored else 1.0, 1.0, 1.0])
    before = pattern(kind, amount, matrix=m)
    # A wide jog that must keep its length needs room to bulge in.
    within = max(within, 12.0 * size) if keep else within
    result = step(before, within=f"{within} mm", keep_length=keep, sharper_than="3 deg")
    said = [f.code for f in result.findings]
    assert said[0] == "jog.smoothed", result.findings
    old, new = top_edge(before), top_edge(result.pattern)
    assert ends(new) == pytest.approx(ends(old), abs=1e-9)
    assert len(new.corner_segments(1.0)) == 0
    assert len(new.self_intersections().points) == 0
    if keep:
        assert new.length == pytest.approx(old.length, abs=1e-6)
    row = result.figures["runs"][0]
    shift = row["largest_shift"]
    far = [a.nearest(b.point_at(np.linspace(0, b.length, 400))).distances.max()
           for a, b in ((old, new), (new, old))]  # fmt: skip
    assert max(far) <= shift + 1e-6 and shift > 0
    # Outside the stretch that may change nothing moves.
    middle = old.point_at(old.length / 2)
    away = old.point_at(np.linspace(0, old.length, 300))
    away = away[np.hypot(*(away - middle).T) > within + size + 2.0]
    if len(away):
        assert new.nearest(away).distances.max() < 1e-9
    # Notches outside keep their way along the run: from its start before, from its end behind.
    for mark, from_start in (("a", True), ("b", False)):
        assert _way(result.pattern, mark, from_start) == pytest.approx(
            _way(before, mark, from_start), abs=1e-6 if within < 60 else 7.0
        )
    others = {"low-left", "low-right"}
    for a, b in zip(before.pieces[0].shapes[0].corners, result.pattern.pieces[0].shapes[0].corners,
                    strict=True):  # fmt: skip
        if a.name in others:
            p = before.pieces[0].shapes[0].seam_line.point_of(a.station)
            assert np.array_equal(
                p, result.pattern.pieces[0].shapes[0].seam_line.point_of(b.station)
            )


def _way(style: Pattern, mark: str, from_start: bool) -> float:
    shape = style.pieces[0].shapes[0]
    line = shape.seam_line
    at = line.length_of(shape.notch(mark).station)
    end = line.length_of(shape.corner("right" if from_start else "left").station)
    way = abs(at - end)
    return min(way, line.length - way)


@pytest.mark.parametrize("smooth", [0, 1])
def test_nothing_to_smooth_is_said_and_changes_nothing(smooth: int) -> None:
    before = pattern("none", 0.0, sizes=2)
    result = step(before) if smooth else run(before, TrueJog(), Context())
    assert result.pattern is before
    assert [f.code for f in result.findings] == ["jog.none"]
    assert result.looked_at == (2 if smooth else 4)


def test_smoothed_once_is_smooth() -> None:
    once = step(pattern("jog", 3.0), within="40 mm")
    twice = step(once.pattern, within="40 mm")
    assert twice.pattern is once.pattern


def test_a_run_that_changes_its_length_is_warned_of() -> None:
    result = step(pattern("jog", 4.0))
    assert [f.code for f in result.findings] == ["jog.smoothed", "jog.length"]
    warning = result.findings[1]
    old, new = top_edge(pattern("jog", 4.0)), top_edge(result.pattern)
    assert warning.severity is Severity.WARNING
    assert warning.measured == pytest.approx(new.length - old.length)


def test_a_run_given_backwards_and_places_along_it() -> None:
    before = pattern("kink", 12.0)
    length = top_edge(before).length
    there = step(before, run=["Yoke: left > right"], at=[f"{length / 2} mm"])
    assert there.figures["runs"][0]["kinks"][0]["at"] == pytest.approx(length / 2, abs=1e-6)
    plain = step(before)
    a, b = top_edge(there.pattern), top_edge(plain.pattern)
    assert np.allclose(a.point_at(np.linspace(0, b.length, 50)), b.point_at(
        np.linspace(0, b.length, 50)), atol=1e-9)  # fmt: skip
    nowhere = step(before, at=["20 mm"], within="10 mm")
    assert nowhere.pattern is before
    assert [f.code for f in nowhere.findings] == ["jog.none"]
    assert nowhere.findings[0].severity is Severity.WARNING


def test_corners_stay() -> None:
    before = pattern("none", 0.0)
    result = step(before, run=["Yoke: low-right > right > left > low-left"])
    assert result.pattern is before


def test_the_default_is_the_whole_cap_over_the_shoulder_point() -> None:
    # A peak at the shoulder point, where both halves end: no half by itself could smooth it.
    left = np.array([[(-150, 0), (-90, 10), (-80, 110), (0, 130)]], dtype=float)
    right = np.array([[(0, 130), (80, 110), (85, 8), (145, 0)]], dtype=float)
    low = Curve.polyline(np.array([[145.0, 0], [100, -150], [-100, -150], [-150, 0]]))
    line = Curve.from_segments(
        np.concatenate([left, right, low.segments]),
        np.array([1, 1, 0, 0, 0], np.uint8),
        closed=True,
    )
    shape = build_shape(
        size="M",
        outline=line,
        corners=[Station(0, 0.0), Station(2, 0.0), Station(3, 0.0), Station(4, 0.0)],
        corner_names=["ub", "uf", "wf", "wb"],
        notches=[Notch(name="top", station=Station(1, 0.0))],
    )
    halves = [
        Seam(
            name=side,
            sew=Run(parts=(RunPart(piece="Sleeve", marks=(under, "top")),)),
            to=Run(parts=(RunPart(piece="Sleeve", marks=("wf", "wb")),)),
            cap=side,  # type: ignore[arg-type]
        )
        for side, under in (("back", "ub"), ("front", "uf"))
    ]
    before = Pattern(
        name="x", pieces=(Piece(name="Sleeve", shapes=(shape,)),), sizes=("M",), base_size="M",
        seams=tuple(halves),
    )  # fmt: skip
    result = run(before, build(TrueJog, {"keep-length": True}), Context())
    assert [f.code for f in result.findings] == ["jog.smoothed"]
    new = result.pattern.pieces[0].shapes[0]
    assert len(new.seam_line.corner_segments(5.0)) == 4
    at = new.seam_line.length_of(new.notch("top").station)
    start = new.seam_line.length_of(new.corner("uf").station)
    assert (at - start) % new.seam_line.length == pytest.approx(
        Curve.from_segments(right).length, abs=1e-6
    )


def test_a_parallel_cut_line_follows() -> None:
    before = pattern("kink", 10.0)
    shape = before.pieces[0].shapes[0]
    parts = [offset_open(shape.edge_curve(i), 10.0) for i in range(4)]
    pieces, kinds = [], []
    for part, after in zip(parts, [*parts[1:], parts[0]], strict=True):
        bridge = Curve.line(part.end, after.start)
        pieces += [part.segments, bridge.segments]
        kinds += [part.kinds, bridge.kinds]
    cut = Curve.from_segments(np.concatenate(pieces), np.concatenate(kinds), closed=True)
    piece = before.pieces[0]
    before = before.with_pieces([piece.but(shapes=(shape.but(cut_line=cut),))])
    result = step(before)
    new = result.pattern.pieces[0].shapes[0]
    assert new.cut_line is not None
    edge = top_edge(result.pattern)
    away = new.cut_line.nearest(edge.point_at(np.linspace(5, edge.length - 5, 80))).distances
    assert away == pytest.approx(10.0, abs=0.05)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"run": ["Yoke right left"]}, "names no piece"),
        ({"run": ["Yoke: right"]}, "needs two"),
        ({"at": ["20 mm"]}, "one run"),
        ({"sharper-than": "50 deg", "corners-above": "45 deg"}, "sharper-than"),
        ({"within": "1 mm"}, "3 mm"),
        ({"withn": "10 mm"}, "within"),
    ],
)
def test_wrong_options_are_refused(options: dict[str, Any], says: str) -> None:
    with pytest.raises(SeamwrightError) as caught:
        build(TrueJog, options)
    assert says in caught.value.finding.message + " " + (caught.value.finding.hint or "")


def test_a_run_that_is_not_there() -> None:
    before = pattern("kink", 10.0)
    result = step(before, run=["Yoke: right > lift"])
    assert result.pattern is before and result.skipped
    assert [f.code for f in result.findings] == ["plan.mark"]
    bare = before.but(seams=())
    empty = run(bare, TrueJog(), Context())
    assert empty.pattern is bare and empty.looked_at == 0
    assert [f.code for f in empty.findings] == ["jog.no-run"]


def test_the_same_stretch_twice_is_refused() -> None:
    before = pattern("kink", 10.0)
    result = step(before, run=["Yoke: right > left", "Yoke: left > right"])
    assert result.pattern is before
    assert [f.code for f in result.findings] == ["jog.overlap"]


def test_only_declared_codes_and_a_page() -> None:
    (described,) = [s for s in plugin.seamwright_steps() if s.name == "true-jog"]
    declared = {c.code for c in described.codes}
    folder = Path(plugin.__file__).parent
    used = {
        word
        for file in folder.glob("*.py")
        for word in file.read_text().split('"')
        if word.startswith("jog.") and " " not in word
    }
    assert used <= declared
    page = (folder / "pages" / described.page).read_text()
    for heading in ("What it does", "Why", "Options", "Keeps", "Findings", "Limits", "Source"):
        assert f"## {heading}" in page
    (example,) = re.findall(r"```toml\n(.*?)```", page, re.S)
    Pipeline.loads(example).prepare()


def test_untouched_sizes_and_shapes_are_the_same_objects() -> None:
    kinked, sound = pattern("kink", 10.0), pattern("none", 0.0)
    a: Shape = kinked.pieces[0].shapes[0]
    b: Shape = sound.pieces[0].shapes[0].but(size="1")
    before = kinked.but(sizes=("0", "1"), pieces=(kinked.pieces[0].but(shapes=(a, b)),))
    result = step(before)
    assert result.pattern.pieces[0].shapes[1] is b
    assert result.pattern.pieces[0].shapes[0] is not a

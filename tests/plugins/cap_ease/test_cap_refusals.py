"""What the cap step refuses, and what it says; and what else a sleeve carries."""

from __future__ import annotations

import itertools
import re
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from seamwright.findings import SeamwrightError, Severity
from seamwright.geometry import Curve, Station
from seamwright.geometry.offset import offset_open
from seamwright.model import (
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
    Pattern,
    SeamLineSource,
    Shape,
    build_shape,
)
from seamwright.pipeline import Pipeline

EASE = {"back": 20.0, "front": 18.0}
TARGET = {"back": 15.0, "front": 13.0}


def refused(wardrobe: Any, pattern: Pattern, code: str, says: str, **options: Any) -> None:
    """The step leaves the very pattern, with one error that says so."""
    result = wardrobe.run(pattern, **({"target": TARGET} | options))
    assert result.pattern is pattern
    (error,) = [f for f in result.findings if f.severity is Severity.ERROR]
    assert error.code == code, error
    assert says in error.message + " " + (error.hint or "")
    assert error.hint


def changed(pattern: Pattern, change: Callable[[Shape], Shape]) -> Pattern:
    piece = pattern.piece("Sleeve")
    return pattern.with_pieces([piece.but(shapes=tuple(change(s) for s in piece.shapes))])


def plain(wardrobe: Any, **options: Any) -> Pattern:
    return wardrobe.pattern([wardrobe.sleeve(**options)], ease=EASE)  # type: ignore[no-any-return]


def test_ease_already_under_the_target(wardrobe: Any) -> None:
    refused(
        wardrobe, plain(wardrobe), "cap.under", "less ease than the target",
        target={"back": 25.0, "front": 20.0},
    )  # fmt: skip


def test_a_tuck_that_would_reach_below_the_bicep_line(wardrobe: Any) -> None:
    refused(wardrobe, plain(wardrobe), "cap.too-deep", "below the bicep line", depth="150 mm")


def test_a_hinge_below_the_bicep_line(wardrobe: Any) -> None:
    refused(
        wardrobe, plain(wardrobe), "cap.too-deep", "bicep line",
        manner="slash", hinge_below="140 mm",
    )  # fmt: skip


def test_a_cap_whose_points_lie_out_of_order(wardrobe: Any) -> None:
    pattern = plain(wardrobe)

    def swapped(shape: Shape) -> Shape:
        # The names of shoulder point and wrist lie the wrong way round.
        wrist = shape.corner("wrist-back").station
        return shape.but(
            notches=tuple(
                Notch(name=n.name, station=wrist) if n.name == "shoulder" else n
                for n in shape.notches
            )
        )

    result = wardrobe.run(changed(pattern, swapped), target=TARGET)
    (error,) = result.findings
    assert error.severity is Severity.ERROR
    assert error.code in ("cap.order", "plan.way") and error.piece == "Sleeve"


def test_more_than_folding_takes(wardrobe: Any) -> None:
    pattern = wardrobe.pattern([wardrobe.sleeve()], ease={"back": 45.0, "front": 18.0})
    refused(wardrobe, pattern, "cap.short", "lower the cap")
    result = wardrobe.run(pattern, target=TARGET, if_short="do what it can")
    (short,) = [f for f in result.findings if f.code == "cap.short"]
    assert short.severity is Severity.WARNING and "12 %" in short.message
    eased = wardrobe.ease(result.pattern)
    assert eased["back"][0] == pytest.approx(45 - short.measured, abs=1e-6)
    assert 15 < eased["back"][0] < 45 and eased["front"][0] == pytest.approx(13, abs=1e-6)


def test_no_room_above_the_notch(wardrobe: Any) -> None:
    pattern = plain(wardrobe, notches={"back": 70.0, "front": 68.0})
    refused(
        wardrobe, pattern, "cap.short", "above the notch",
        target={"back": 0.0, "front": 13.0}, largest_tuck="2 mm",
    )  # fmt: skip


def test_a_notch_where_the_tuck_should_be(wardrobe: Any) -> None:
    notches = {"back": 120.0, "front": 120.0, "back-mid": 57.15}
    pattern = wardrobe.pattern([wardrobe.sleeve(notches=notches)], ease=EASE)
    result = wardrobe.run(pattern, target={"back": 16.0, "front": 18.0})
    assert [f.code for f in result.findings] == ["cap.eased", "cap.place"]
    assert 8 < abs(result.findings[1].measured) < 10
    # Marks everywhere: nothing can be folded without taking one away.
    for i in range(7):
        notches[f"back-{i}"] = 30.0 + 9.0 * i
    pattern = wardrobe.pattern([wardrobe.sleeve(notches=notches)], ease=EASE)
    refused(
        wardrobe, pattern, "cap.overlap", "notch",
        target={"back": 13.0, "front": 18.0}, largest_tuck="8 mm",
    )  # fmt: skip


def test_a_cut_line_only(wardrobe: Any) -> None:
    pattern = changed(plain(wardrobe), lambda s: s.but(seam_line_source=SeamLineSource.CUT_LINE))
    refused(wardrobe, pattern, "cap.cut-line-only", "allowance")


def test_half_a_sleeve_on_the_fold(wardrobe: Any) -> None:
    pattern = changed(plain(wardrobe), lambda s: s.but(mirrored_half=True))
    refused(wardrobe, pattern, "cap.half-piece", "unfold")


def test_no_cap_in_the_plan(wardrobe: Any) -> None:
    pattern = plain(wardrobe).but(seams=())
    result = wardrobe.run(pattern, target=TARGET)
    assert result.pattern is pattern and result.looked_at == 0 and result.skipped
    assert [f.code for f in result.findings] == ["cap.none"]


def test_half_a_cap_in_the_plan(wardrobe: Any) -> None:
    pattern = plain(wardrobe)
    refused(wardrobe, pattern.but(seams=pattern.seams[:1]), "cap.half", "front")


def test_nothing_says_what_is_wanted(wardrobe: Any) -> None:
    refused(wardrobe, plain(wardrobe), "cap.no-target", "cloth", target={})


def test_a_target_for_a_size_that_is_not_there(wardrobe: Any) -> None:
    refused(
        wardrobe, plain(wardrobe), "cap.target-size", '"M"',
        target={"back": 15.0, "m": {"back": 14.0}},
    )  # fmt: skip


def test_a_size_without_an_armhole(wardrobe: Any) -> None:
    sleeves = [wardrobe.sleeve(size=s) for s in ("M", "L")]
    pattern = wardrobe.pattern(sleeves, ease=EASE)
    back = pattern.piece("Back")
    pattern = pattern.with_pieces([back.but(shapes=back.shapes[:1])])
    result = wardrobe.run(pattern, target=TARGET)
    (error,) = [f for f in result.findings if f.severity is Severity.ERROR]
    assert (error.code, error.size) == ("cap.not-walked", "L")
    assert wardrobe.ease(result.pattern)["back"][0] == pytest.approx(15, abs=1e-6)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"cloth": "firm wovn"}, "firm woven"),
        ({"cloth": "knit", "target": TARGET}, "not both"),
        ({"target": {"bakc": 12}}, "bakc"),
        ({"target": {"back": "-3 mm"}}, "below 0"),
        ({"largest-tuck": "20 mm"}, "8 mm"),
        ({"mesh": "0.1 mm"}, "1.5 mm"),
        ({"manner": "pleat"}, "tuck"),
        ({"clot": "knit"}, "cloth"),
        ({"target": {"10": {"bak": "3 mm"}}}, "bak"),
        ({"cloths": {"x": {"back": {"at-most": 1}, "front": {"at-most": 1}}}}, "named"),
        ({"cloth": "x", "cloths": {"x": {"back": {"at-most": 1}}}}, "front"),
    ],
)
def test_wrong_options_are_refused_before_anything_runs(options: dict[str, Any], says: str) -> None:
    from seamwright.plugins.building import build
    from seamwright_cap_ease.options import EaseCap

    with pytest.raises(SeamwrightError) as caught:
        build(EaseCap, options)
    finding = caught.value.finding
    assert says in finding.message + " " + (finding.hint or "")


def with_cut_line(shape: Shape, width: float, *, notch: bool = False, away: float = 0.0) -> Shape:
    """The sleeve with a cut line parallel to its seam line; perhaps with its notches on it."""
    line = shape.seam_line
    corners = [*line.cumulative[[c.station.segment for c in shape.corners]], line.length]
    parts = [
        offset_open(line.part(a, b), width + (away if i == len(corners) - 2 else 0.0))
        for i, (a, b) in enumerate(itertools.pairwise(corners))
    ]
    points, kinds = [], []
    for part, after in zip(parts, [*parts[1:], parts[0]], strict=True):
        points.append(part.segments)
        kinds.append(part.kinds)
        bridge = Curve.line(part.end, after.start)
        points.append(bridge.segments)
        kinds.append(bridge.kinds)
    cut = Curve.from_segments(np.concatenate(points), np.concatenate(kinds), closed=True)
    notches = shape.notches
    if notch:
        moved = []
        for n in notches:
            near = cut.nearest(line.point_of(n.station)[None])
            station = Station(int(near.segments[0]), float(near.ts[0]))
            on_cut = n.name != "shoulder"
            moved.append(Notch(name=n.name, station=station, line=LineRole.CUT) if on_cut else n)
        notches = tuple(moved)
    return shape.but(cut_line=cut, notches=notches)


@pytest.mark.parametrize("on_cut", [False, True])
def test_a_parallel_cut_line_follows(wardrobe: Any, on_cut: bool) -> None:
    pattern = changed(plain(wardrobe), lambda s: with_cut_line(s, 15.0, notch=on_cut))
    result = wardrobe.run(pattern, target=TARGET)
    assert [f.code for f in result.findings] == ["cap.eased"]
    old, new = pattern.piece("Sleeve").shapes[0], result.pattern.piece("Sleeve").shapes[0]
    assert old.cut_line is not None
    assert new.cut_line is not None and new.cut_line.closed and new.cut_line.area > 0
    # Fifteen millimetres all along the new cap, away from the finish of the underarm corners.
    start = new.seam_line.length_of(new.corner("underarm-front").station)
    end = new.seam_line.length_of(new.corner("underarm-back").station)
    if end < start:
        end += new.seam_line.length
    s = np.linspace(start + 20, end - 20, 100) % new.seam_line.length
    away = new.cut_line.nearest(new.seam_line.point_at(s)).distances
    assert away == pytest.approx(15.0, abs=0.05)
    # Elsewhere the cut line is where it was.
    below = [p for p in old.cut_line.joints if p[1] < -1]
    assert new.cut_line.nearest(np.array(below)).distances.max() < 1e-9
    for name in ("back", "front"):
        notch = new.notch(name)
        assert notch.line is (LineRole.CUT if on_cut else LineRole.SEAM)
        was = (old.cut_line if on_cut else old.seam_line).point_of(old.notch(name).station)
        now = (new.cut_line if on_cut else new.seam_line).point_of(notch.station)
        assert np.hypot(*(now - was)) < 0.01  # both lie in the stretch that is held


def test_a_cut_line_that_cannot_follow_is_taken_away_and_said_so(wardrobe: Any) -> None:
    pattern = changed(plain(wardrobe), lambda s: with_cut_line(s, 15.0, notch=True))

    def skewed(shape: Shape) -> Shape:
        assert shape.cut_line is not None
        return shape.but(cut_line=shape.cut_line.transformed([[1.04, 0, 0], [0, 1.05, 0]]))

    result = wardrobe.run(changed(pattern, skewed), target=TARGET)
    assert [f.code for f in result.findings] == ["cap.eased", "cap.cut-line"]
    new = result.pattern.piece("Sleeve").shapes[0]
    assert new.cut_line is None
    assert all(n.line is LineRole.SEAM for n in new.notches)
    at = [new.seam_line.length_of(n.station) for n in new.notches]
    assert at == sorted(at)


def test_what_lies_inside_the_cap_is_named(wardrobe: Any) -> None:
    centre = InternalLine(
        kind=InternalKind.INTERNAL, name="centre", curve=Curve.line([0, 134.5], [0, -150])
    )
    low = InternalLine(
        kind=InternalKind.INTERNAL, name="hem", curve=Curve.line([-80, -170], [80, -170])
    )
    pattern = changed(
        plain(wardrobe),
        lambda s: s.but(
            internal_lines=(centre, low),
            drill_holes=(DrillHole(at=(10.0, 60.0), name="dot"), DrillHole(at=(0.0, -90.0))),
            grain_line=GrainLine(start=(0.0, 90.0), end=(0.0, -150.0)),
        ),
    )
    result = wardrobe.run(pattern, target=TARGET)
    said = {f.code: f.message for f in result.findings}
    assert 'internal line "centre"' in said["cap.sticks-out"]
    assert 'drill hole "dot"' in said["cap.inside"]
    assert "hem" not in said["cap.inside"] and "grain" not in said["cap.inside"]
    old, new = pattern.piece("Sleeve").shapes[0], result.pattern.piece("Sleeve").shapes[0]
    assert new.internal_lines == old.internal_lines and new.grain_line == old.grain_line


def test_only_declared_codes_and_a_page() -> None:
    from pathlib import Path

    import seamwright_cap_ease.plugin as plugin

    (step,) = plugin.seamwright_steps()
    declared = {c.code for c in step.codes}
    assert len(declared) == len(step.codes)
    folder = Path(plugin.__file__).parent
    used = set()
    for file in folder.glob("*.py"):
        for word in file.read_text().replace("'", '"').split('"'):
            if word.startswith("cap.") and " " not in word:
                used.add(word)
    assert used <= declared
    page = (folder / "pages" / step.page).read_text()
    for heading in ("What it does", "Why", "Options", "Keeps", "Findings", "Limits", "Source"):
        assert f"## {heading}" in page
    assert "<!-- options -->" in page
    examples = re.findall(r"```toml\n(.*?)```", page, re.S)
    assert len(examples) == 3
    for example in examples:
        Pipeline.loads(example).prepare()


def test_the_descriptor_loads_nothing_heavy() -> None:
    code = (
        "import sys, seamwright_cap_ease.plugin as p\n"
        "p.seamwright_steps()\n"
        "heavy = {'numpy', 'scipy', 'shapely', 'ezdxf', 'svgelements', 'seamwright.model',"
        " 'seamwright.geometry'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


def test_findings_point_at_the_shoulder_point(wardrobe: Any) -> None:
    turned = np.array([[0.0, -1.0, 50.0], [1.0, 0.0, 0.0]])
    pattern = wardrobe.pattern([wardrobe.sleeve()], ease=EASE, matrix=turned)
    result = wardrobe.run(pattern, target=TARGET)
    note = result.findings[0]
    shape = result.pattern.piece("Sleeve").shapes[0]
    where = shape.seam_line.point_of(shape.notch("shoulder").station)
    assert (note.x, note.y) == pytest.approx(tuple(where), abs=1e-6)
    assert build_shape is not None and isinstance(shape, Shape)

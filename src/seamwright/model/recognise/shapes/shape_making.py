"""One body to one Shape: outlines, marks with stations, texts."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from seamwright.geometry import Curve, GeometryError, Station
from seamwright.model import (
    Corner,
    LineRole,
    Notch,
    SeamLineSource,
    Shape,
    build_shape,
)

from ..items import Named
from ..marks import own
from ..marks.inside import inside_of
from ..marks.meetings import Line
from ..notes import Notes
from ..pieces.bodies import Body
from ..wishes import Wishes
from ..words.wording import text_of
from .derive import seam_from_cut

_STAYED = 0.5  # mm; a corner this near to where it was is the same corner


def shape_of(body: Body, size: str, options: Wishes, notes: Notes) -> Shape:
    """The shape of a body in `size`."""
    seam, cut, source = _lines(body, options, notes)
    found = inside_of(body, seam, cut, notes)
    group = body.group.named if body.group is not None else None
    said = group if group is not None and group.data("piece") is not None else None
    shift = _shift(said)
    texts = tuple(text_of(t, body) for t in body.texts)
    drawn = body.seam or body.cut or body.outer
    fields: dict[str, Any] = {
        "grain_line": found.grain_line,
        "internal_lines": tuple(found.lines),
        "drill_holes": tuple(found.holes),
        "texts": texts,
        "seam_line_source": source,
        "mirrored_half": found.mirrored_half,
    }
    allowances: tuple[float, ...] = ()
    if said is not None:
        fields["seam_line_source"] = _source(said, source)
        fields["mirrored_half"] = said.data("half") == "true"
        fields["flags"] = _pairs(said.data("flags"))
        allowances = _numbers(said.data("allowances"))
    corners = own.corners_of(drawn, seam) if said is not None else None
    lines = [Line(seam, LineRole.SEAM)] + ([Line(cut, LineRole.CUT)] if cut is not None else [])
    rest: dict[str, Any] = {
        "notches": found.notches,
        "darts": found.darts,
        "grade_points": own.grade_points_of(drawn, body, lines),
        "curve_points": own.curve_points(drawn, seam),
    }
    if corners is not None and _in_order(corners, seam):
        # As our writer left it: the order of corners and marks is the pattern's own.
        rest = {name: tuple(values) for name, values in rest.items()}
        rest["notches"] = _named_notches(found.notches)
        shape = Shape(
            size=size,
            seam_line=seam,
            cut_line=cut,
            corners=tuple(Corner(name=name, station=station) for station, name in corners),
            allowances=allowances,
            **rest,
            **fields,
        )
    else:
        shape = build_shape(
            size=size,
            outline=seam,
            cut_line=cut,
            corners=None if corners is None else [s for s, _ in corners],
            corner_names=[n for _, n in corners or ()],
            corner_threshold=float(options.corner),
            allowances=allowances if len(allowances) == len(corners or ()) else (),
            **rest,
            **fields,
        )
        if corners is None and said is not None:
            shape = _renamed(shape, own.corner_names(drawn))
    return _moved(shape, *shift) if shift != (0.0, 0.0) else shape


def _renamed(shape: Shape, names: list[tuple[str, tuple[float, float]]]) -> Shape:
    """The names of corners go to the corners that still are where they were."""
    corners = list(shape.corners)
    for name, (x, y) in names:
        for i, corner in enumerate(corners):
            px, py = shape.seam_line.point_of(corner.station)
            if abs(px - x) + abs(py - y) <= _STAYED and name not in {c.name for c in corners}:
                corners[i] = replace(corner, name=name)
    return shape.but(corners=tuple(corners))


def _in_order(corners: list[tuple[Station, str]], seam: Curve) -> bool:
    """Whether the outline still runs anticlockwise from corner 1."""
    segments = [station.segment for station, _ in corners]
    return (
        seam.closed
        and seam.area > 0.0
        and segments == sorted(set(segments))
        and (not segments or segments[0] == 0)
    )


def _lines(body: Body, options: Wishes, notes: Notes) -> tuple[Curve, Curve | None, SeamLineSource]:
    """Seam line, cut line, and where the seam line came from."""
    if body.seam is not None:
        return (
            body.seam.shape.curve,
            body.cut.shape.curve if body.cut is not None else None,
            SeamLineSource.FILE,
        )
    assert body.cut is not None
    cut = body.cut.shape.curve
    if options.allowance is not None:
        try:
            seam = seam_from_cut(cut, float(options.allowance), float(options.corner))
            return seam, cut, SeamLineSource.DERIVED
        except GeometryError as error:
            notes.error(
                "seam-line.not-derived",
                f"{body.name}: no seam line {notes.length(float(options.allowance))} inside the "
                f"cut line: {error}",
                body.cut.strokes[0].named.node,
                piece=body.name,
                size=body.size,
                hint="draw the seam line, or state a smaller allowance",
            )
    notes.warn(
        "seam-line.missing",
        f"{body.name}: the drawing gives only a cut line; it stands in for the seam line",
        body.cut.strokes[0].named.node,
        piece=body.name,
        size=body.size,
        hint='state the seam allowance: allowance = "15 mm" (or "5/8 in")',
    )
    return cut, None, SeamLineSource.CUT_LINE


def _named_notches(notches: list[Notch]) -> tuple[Notch, ...]:
    return tuple(
        n if n.name else replace(n, name=f"notch-{i}") for i, n in enumerate(notches, start=1)
    )


def _shift(said: Named | None) -> tuple[float, float]:
    """How far the writer moved the piece to its place on the page, to be undone."""
    numbers = _numbers(said.data("moved")) if said is not None else ()
    return (-numbers[0], -numbers[1]) if len(numbers) == 2 else (0.0, 0.0)


def _numbers(text: str | None) -> tuple[float, ...]:
    out = []
    for word in (text or "").split():
        try:
            value = float(word)
        except ValueError:
            return ()
        if not abs(value) < 1e9:
            return ()
        out.append(value)
    return tuple(out)


def _pairs(text: str | None) -> tuple[tuple[str, str], ...]:
    try:
        pairs = json.loads(text or "[]")
        return tuple((str(a), str(b)) for a, b in pairs)
    except (ValueError, TypeError):
        return ()


def _source(said: Named, found: SeamLineSource) -> SeamLineSource:
    text = said.data("source") or ""
    return SeamLineSource(text) if text in set(SeamLineSource) else found


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The shape moved; stations stay."""

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] + dx, point[1] + dy

    grain = shape.grain_line
    return shape.but(
        seam_line=shape.seam_line.translated(dx, dy),
        cut_line=shape.cut_line.translated(dx, dy) if shape.cut_line is not None else None,
        grain_line=replace(grain, start=at(grain.start), end=at(grain.end)) if grain else None,
        darts=tuple(replace(d, apex=at(d.apex)) for d in shape.darts),
        internal_lines=tuple(
            replace(line, curve=line.curve.translated(dx, dy)) for line in shape.internal_lines
        ),
        drill_holes=tuple(replace(h, at=at(h.at)) for h in shape.drill_holes),
        texts=tuple(replace(t, at=at(t.at)) for t in shape.texts),
        grade_points=tuple(
            g if g.at is None else replace(g, at=at(g.at)) for g in shape.grade_points
        ),
    )

"""Making a Shape from an outline as a file gives it, and naming its marks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from seamwright.geometry import Curve, Station

from .marking import Dart
from .marks import Corner, GradePoint, LineRole, Notch
from .numbering import align_sizes, number_notches, upper_left
from .shape import Shape
from .turning import Move, at_joint, reversed_outline, started_at, with_joints

__all__ = ["align_sizes", "build_shape", "name_marks"]


def build_shape(
    *,
    size: str,
    outline: Curve,
    corners: Iterable[Station] | None = None,
    corner_names: Sequence[str | None] = (),
    corner_threshold: float = 20.0,
    notches: Iterable[Notch] = (),
    darts: Iterable[Dart] = (),
    grade_points: Iterable[GradePoint] = (),
    curve_points: Iterable[Station] = (),
    cut_line: Curve | None = None,
    allowances: Sequence[float] = (),
    **fields: Any,
) -> Shape:
    """A Shape in the model's normal form: anticlockwise, starting at corner 1.

    outline           closed, in either direction, starting anywhere
    corners           stations on `outline` as given; None finds them: places where the outline
                      turns by more than `corner_threshold` degrees
    corner_names      names for `corners`, in their order as given; None leaves a number
    notches, darts, grade_points, curve_points
                      with stations on `outline` (or on `cut_line`) as given
    allowances        mm per edge, in the order of `corners` as given (edge i starts at corner i
                      and runs in the drawn direction)
    fields            everything else of `Shape`, as it stands

    Corners that do not lie at a joint get one; all stations are carried along. Notches come out
    ordered by length from corner 1 and, when nameless (""), are named "notch-1", ...; corners
    "corner-1", .... Raises ValueError for an open outline.
    """
    if not outline.closed:
        raise ValueError("an outline must be closed")
    if corners is None:
        places = [Station(int(i), 0.0) for i in outline.corner_segments(corner_threshold)]
    else:
        places = [at_joint(outline, place) for place in corners]
    names = [*corner_names, *[None] * (len(places) - len(corner_names))]

    moves: list[Move] = []
    outline, move = with_joints(outline, places)
    moves.append(move)
    clockwise = outline.area < 0
    if clockwise:
        outline, move = reversed_outline(outline)
        moves.append(move)
    places = [_through(moves, p) for p in places]
    order = sorted(range(len(places)), key=lambda i: places[i].segment)
    first = upper_left(outline, [places[i] for i in order])
    order = order[first:] + order[:first]
    if order:
        outline, move = started_at(outline, places[order[0]].segment)
        moves.append(move)
        places = [move(p) for p in places]

    cut_moves: list[Move] = []
    if cut_line is not None and cut_line.area < 0:
        cut_line, move = reversed_outline(cut_line)
        cut_moves.append(move)

    def put(station: Station, line: LineRole) -> Station:
        return _through(moves if line is LineRole.SEAM else cut_moves, station)

    edge_allowances: tuple[float, ...] = ()
    if len(allowances):
        # Run the other way, an edge starts where it ended.
        from_corner = order if not clockwise else order[1:] + order[:1]
        edge_allowances = tuple(float(allowances[i]) for i in from_corner)
    return Shape(
        size=size,
        seam_line=outline,
        cut_line=cut_line,
        corners=tuple(
            Corner(name=names[i] or f"corner-{number}", station=places[i])
            for number, i in enumerate(order, start=1)
        ),
        notches=number_notches(
            [replace(n, station=put(n.station, n.line)) for n in notches], outline, cut_line
        ),
        darts=tuple(_dart(d, moves, clockwise) for d in darts),
        grade_points=tuple(
            g if g.station is None else replace(g, station=put(g.station, g.line))
            for g in grade_points
        ),
        curve_points=tuple(_through(moves, s) for s in curve_points),
        allowances=edge_allowances,
        **fields,
    )


def name_marks(
    shape: Shape, *, corners: Sequence[str] | None = None, notches: Sequence[str] | None = None
) -> Shape:
    """The shape with its corners and notches named in order; an empty name leaves the mark's own.

    Raises ValueError when there are more or fewer names than marks, or a name twice.
    """
    changed: dict[str, Any] = {}
    if corners is not None:
        changed["corners"] = _renamed(shape.corners, corners, "corners")
    if notches is not None:
        changed["notches"] = _renamed(shape.notches, notches, "notches")
    return shape.but(**changed) if changed else shape


def _renamed(marks: Sequence[Any], names: Sequence[str], what: str) -> tuple[Any, ...]:
    if len(marks) != len(names):
        raise ValueError(f"{len(names)} names for {len(marks)} {what}")
    out = tuple(
        mark if not name or name == mark.name else replace(mark, name=name)
        for mark, name in zip(marks, names, strict=True)
    )
    final = [m.name for m in out]
    twice = sorted({n for n in final if final.count(n) > 1})
    if twice:
        raise ValueError(f"{what} share a name: {', '.join(twice)}")
    return out


def _through(moves: Sequence[Move], station: Station) -> Station:
    for move in moves:
        station = move(station)
    return station


def _dart(dart: Dart, moves: Sequence[Move], clockwise: bool) -> Dart:
    left, right = _through(moves, dart.left), _through(moves, dart.right)
    if clockwise:
        left, right = right, left
    return replace(dart, left=left, right=right)

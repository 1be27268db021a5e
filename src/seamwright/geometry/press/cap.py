"""A sleeve cap, or any open edge over a straight foot, with wedges folded out and pressed flat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..curve import Curve
from .energy import Strain
from .glue import Sheet, glued
from .jogs import spare_lengths
from .kinds import FloatArray, IntArray, PressError
from .mesh import Mesh, MissingEdges, inside, triangulate
from .outline import Frame, Outline, SeamPoints, cap_outline, seam_points
from .solve import Solution, press_flat
from .taken import Taken
from .wedge import Wedge, check_wedges, reopened

__all__ = ["PressedEdge", "PressedSheet", "StrainLeft", "press_cap"]

_FOOT_CLEARANCE = 5.0  # mm: an apex nearer to the foot than this is refused
_LEAST_PAPER = 1.0  # mm between two wedges
_REOPENINGS = 4  # times at most that slanted cuts are opened and pressed until the length is right
_SPARE = 0.03  # mm: length that the smooth edge can take up without showing it
_FINER = 3  # times the outline is halved before the mesh is given up


@dataclass(frozen=True, slots=True)
class StrainLeft:
    """What pressing leaves in the sheet, as fractions (0.02 is 2 %).

    longest, shortest: the largest lengthening and (negative) shortening of any triangle;
    mean: of the larger of both, averaged by area; least_area: the smallest ratio of a
    triangle's area to that at rest, 0 or less if it has turned over.
    """

    longest: float
    shortest: float
    mean: float
    least_area: float


@dataclass(frozen=True, slots=True, eq=False)
class PressedSheet:
    """The mesh, for pictures: flat (V, 2) with the wedges open, pressed (V, 2), triangles."""

    flat: FloatArray
    pressed: FloatArray
    triangles: IntArray


@dataclass(frozen=True, slots=True, eq=False)
class PressedEdge:
    """An edge after its wedges were closed and the sheet was pressed flat.

    points (N, 2): the new edge as a polyline. lengths (N,): how far along the new edge each of
    them lies, by the original curve's own lengths less what was taken out (`taken`). mouths
    (W, 2): from where to where on the original each wedge was open; wider than what it took out
    if it lies slantwise, and perhaps wider than it was given, so that the edge has its length
    once the jog is trued. jogs (J, 2): first and last number of the points of each jog that is
    still to be trued. held: how much of both ends stayed where it was. apexes (W, 2, 2): each
    wedge's apex before and after. model: `sheet`, or `rod` where no sheet was pressed (then
    strain, apexes and sheet are empty).
    """

    points: FloatArray
    lengths: FloatArray
    taken: Taken
    mouths: FloatArray
    jogs: IntArray
    held: tuple[float, float]
    apexes: FloatArray
    strain: StrainLeft | None
    sheet: PressedSheet | None
    iterations: int
    model: str

    @property
    def length(self) -> float:
        """Of the new edge: the original's less the widths of the wedges."""
        return float(self.lengths[-1])

    def point_at(self, s: float) -> FloatArray:
        """On the polyline at a length along the new edge (2,), at most half a step's sagitta
        off the smooth edge. Exact at its vertices."""
        return np.array([np.interp(s, self.lengths, self.points[:, axis]) for axis in (0, 1)])


def press_cap(
    edge: Curve,
    wedges: Sequence[Wedge],
    *,
    marks: Sequence[float] = (),
    fixed_below: tuple[float, float] = (0.0, 0.0),
    size: float = 4.0,
    compression: float = 0.1,
) -> PressedEdge:
    """Closes wedges on an open edge and presses the sheet between edge and foot flat.

    The foot is the straight line between the edge's ends (the bicep line); nothing on it moves.
    Along the edge the sheet neither stretches nor shrinks, so each side loses exactly the widths
    of its wedges; inside it is as little distorted as it can be.

    edge: open Curve, mm, travelled either way. wedges: from `equal_sided_wedge` or
    `slash_wedge`, in any order. marks: lengths along the edge that become vertices of the result
    (shoulder point, notches); no wedge may take one. fixed_below: this much of the edge from its
    start, and from its end, stays where it is. size: of the mesh, mm. compression: stiffness of
    the sheet when shortened, that when lengthened being 1 (paper wrinkles willingly); 1 gives
    the pressing that is as rigid as possible.

    Raises PressError; its `reason` says which way it went wrong.
    """
    if edge.closed:
        raise PressError("order", "a cap edge is an open curve")
    if not (size > 0.0 and 0.0 < compression <= 1.0):
        raise PressError("mesh", "mesh size and compression must be above 0, compression up to 1")
    below = (float(fixed_below[0]), float(fixed_below[1]))
    _check_marks(edge, marks, below)
    ordered = check_wedges(edge, wedges, marks, below)
    frame = Frame.of(edge)
    _check_apexes(edge, frame, ordered)
    _check_between(edge, ordered)
    stops = [s for s in (*marks, below[0], edge.length - below[1]) if 0.0 < s < edge.length]
    for _ in range(_REOPENINGS):
        pressed, jogged = _pressed(edge, frame, ordered, stops, below, (size, compression))
        spare = spare_lengths(pressed.points, pressed.lengths, pressed.jogs)
        if np.abs(spare).max(initial=0.0) <= _SPARE:
            break
        ordered = check_wedges(edge, _reopened(edge, ordered, jogged, spare), marks, below)
    return pressed


def _reopened(
    edge: Curve, wedges: Sequence[Wedge], jogged: Sequence[int], spare: FloatArray
) -> list[Wedge]:
    """The wedges, those with jogs opened so much more that the trued edge is of its length."""
    wider = list(wedges)
    for number, too_long in zip(jogged, spare.tolist(), strict=True):
        wedge = wedges[number]
        slant = wedge.jog / (wedge.mouth[1] - wedge.mouth[0])  # the sine of it
        wider[number] = reopened(edge, wedge, too_long / max(1.0 - slant**2, 0.5))
    return wider


def _pressed(
    edge: Curve,
    frame: Frame,
    wedges: tuple[Wedge, ...],
    stops: Sequence[float],
    below: tuple[float, float],
    manner: tuple[float, float],
) -> tuple[PressedEdge, list[int]]:
    """The pressed edge, and which of the wedges left jogs."""
    size, compression = manner
    seam, outline, mesh = _meshed(edge, frame, wedges, stops, below, size)
    sheet = glued(mesh, outline)
    pairs, lengths = _held_lengths(seam, outline, sheet)
    free = np.repeat(~sheet.fixed[:, None], 2, axis=1)
    solution = press_flat(
        sheet.elements, sheet.start, free, pairs, lengths, compression=compression
    )
    strain = _strain(sheet, solution.strain)
    if strain.least_area <= 0.0:
        raise PressError(
            "turned-over",
            f"with {sum(w.width for w in wedges):.4g} mm taken out the sheet folds over itself "
            "when it is pressed: take out less, or in more places",
        )
    taken = Taken.of(wedges)
    points, along, jogs = _new_edge(edge, frame, seam, outline, sheet, solution, taken)
    if not is_simple(points):
        raise PressError("crossing", "the pressed edge crosses itself: take out less")
    pressed = frame.outside(solution.points)[sheet.vertex]
    apexes = np.array(
        [(w.apex, pressed[c.apex]) for w, c in zip(wedges, outline.cuts, strict=True)]
    )
    held = (
        float(seam.lengths[outline.still[0] - 1]),
        float(edge.length - seam.lengths[-outline.still[1]]),
    )
    picture = PressedSheet(frame.outside(mesh.points), pressed, mesh.triangles)
    edge_after = PressedEdge(
        points=points,
        lengths=along,
        taken=taken,
        mouths=np.array([w.mouth for w in wedges]),
        jogs=jogs,
        held=held,
        apexes=apexes,
        strain=strain,
        sheet=picture,
        iterations=solution.iterations,
        model="sheet",
    )
    return edge_after, [i for i, cut in enumerate(outline.cuts) if cut.jogged]


def is_simple(points: FloatArray) -> bool:
    """Whether a polyline (N, 2) does not cross itself."""
    import shapely  # noqa: PLC0415 - heavy, and needed only when a cap is pressed

    return bool(shapely.LineString(points).is_simple)


def _check_marks(edge: Curve, marks: Sequence[float], below: tuple[float, float]) -> None:
    for mark in marks:
        if not 0.0 <= mark <= edge.length:
            raise PressError("order", f"the mark at {mark:.4g} mm is not on the edge")
    if min(below) < 0.0 or sum(below) >= edge.length:
        raise PressError("held", "no stretch of the edge is left to move")


def _check_apexes(edge: Curve, frame: Frame, wedges: Sequence[Wedge]) -> None:
    around = frame.inside(edge.flatten(0.05))
    if not is_simple(around):
        raise PressError("order", "the edge crosses itself")
    apexes = frame.inside(np.array([w.apex for w in wedges]))
    within = inside(around, apexes)
    for wedge, apex, fits in zip(wedges, apexes, within, strict=True):
        name = f"the wedge at {0.5 * (wedge.start + wedge.end):.4g} mm along the edge"
        if apex[1] < _FOOT_CLEARANCE:
            where = f"{apex[1]:.3g} mm above" if apex[1] >= 0.0 else f"{-apex[1]:.3g} mm below"
            raise PressError(
                "apex",
                f"{name} ends {where} the line between the edge's ends; it must end "
                f"{_FOOT_CLEARANCE:g} mm above or more: make it less deep",
            )
        if not fits:
            raise PressError("apex", f"{name} ends outside the piece")


def _check_between(edge: Curve, wedges: Sequence[Wedge]) -> None:
    """Wedges keep some paper between them."""
    import shapely  # noqa: PLC0415 - heavy, and needed only when a cap is pressed

    cuts = [
        shapely.Polygon([*edge.point_at(np.array(wedge.mouth)), wedge.apex]) for wedge in wedges
    ]
    for i, one in enumerate(cuts):
        for j in range(i):
            if one.distance(cuts[j]) < _LEAST_PAPER:
                places = [0.5 * (wedges[k].start + wedges[k].end) for k in (j, i)]
                raise PressError(
                    "overlap",
                    f"the wedges at {places[0]:.4g} and {places[1]:.4g} mm cut one another, or "
                    "nearly, inside the piece: make them less deep, or set them farther apart",
                )


def _meshed(
    edge: Curve,
    frame: Frame,
    wedges: Sequence[Wedge],
    stops: Sequence[float],
    below: tuple[float, float],
    size: float,
) -> tuple[SeamPoints, Outline, Mesh]:
    """The sheet's outline and mesh; the outline as fine as the mesh needs it."""
    step = size
    for _ in range(_FINER + 1):
        seam = seam_points(edge, [w.mouth for w in wedges], stops, step)
        outline = cap_outline(edge, frame, wedges, seam, below, step)
        if not is_simple(np.concatenate([outline.points, outline.points[:1]])):
            raise PressError("overlap", "a wedge cuts the edge, or the line at its foot")
        try:
            return seam, outline, triangulate(outline.points, size)
        except MissingEdges:
            step *= 0.5
    raise PressError("mesh", "no mesh follows the outline with its wedges cut out")


def _held_lengths(seam: SeamPoints, outline: Outline, sheet: Sheet) -> tuple[IntArray, FloatArray]:
    """Pairs of the sheet's vertices (E, 2) that are neighbours on the edge, and their distance."""
    numbers = outline.seam
    first = np.setdiff1d(np.arange(len(numbers) - 1), seam.breaks)
    first = first[(numbers[first] >= 0) & (numbers[first + 1] >= 0)]
    pairs = np.stack([numbers[first], numbers[first + 1]], axis=1)
    chords = outline.points[pairs[:, 1]] - outline.points[pairs[:, 0]]
    return sheet.vertex[pairs], np.hypot(*chords.T)


def _new_edge(
    edge: Curve,
    frame: Frame,
    seam: SeamPoints,
    outline: Outline,
    sheet: Sheet,
    solution: Solution,
    taken: Taken,
) -> tuple[FloatArray, FloatArray, IntArray]:
    """The new edge's points (N, 2), lengths (N,) and jogs (J, 2), in the drawing; jogs have
    points of their own, and what did not move is as it was, to the last digit."""
    numbers = outline.seam
    count = len(numbers)
    places = edge.point_at(seam.lengths)
    places[0], places[-1] = edge.start, edge.end
    moved = slice(outline.still[0], count - outline.still[1])
    places[moved] = frame.outside(solution.points[sheet.vertex[numbers[moved]]])
    along = taken.after(seam.lengths)
    points: list[FloatArray] = []
    lengths: list[FloatArray] = []
    jogs: list[tuple[int, int]] = []
    begin = total = 0
    for number, cut in zip(seam.breaks.tolist(), outline.cuts, strict=True):
        points.append(places[begin : number + 1])
        lengths.append(along[begin : number + 1])
        total += number + 1 - begin
        if not cut.jogged:
            begin = number + 2  # both ends of the mouth are one
            continue
        jog = cut.first_jog if len(cut.first_jog) > 1 else cut.second_jog[::-1]
        points.append(frame.outside(solution.points[sheet.vertex[jog[1:-1]]]))
        lengths.append(np.linspace(along[number], along[number + 1], len(jog))[1:-1])
        jogs.append((total - 1, total - 1 + len(jog) - 1))
        total += len(jog) - 2
        begin = number + 1
    points.append(places[begin:])
    lengths.append(along[begin:])
    pairs = np.array(jogs, dtype=np.int64).reshape(-1, 2)
    return np.concatenate(points), np.concatenate(lengths), pairs


def _strain(sheet: Sheet, strain: Strain) -> StrainLeft:
    longer, shorter = strain.most - 1.0, strain.least - 1.0
    worst = np.maximum(np.abs(longer), np.abs(shorter))
    area = sheet.elements.area
    return StrainLeft(
        longest=float(longer.max()),
        shortest=float(shorter.min()),
        mean=float(np.dot(worst, area) / area.sum()),
        least_area=float((strain.most * strain.least).min()),
    )

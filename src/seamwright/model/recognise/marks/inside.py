"""What the lines inside one piece are: notches, darts, grain line, folds, holes, internal lines."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from seamwright.geometry import Curve
from seamwright.model import (
    Dart,
    DrillHole,
    GrainLine,
    InternalKind,
    InternalLine,
    LineRole,
    Notch,
)

from ..items import Named, Stroke
from ..notes import Notes
from ..pieces.areas import diagonal
from ..pieces.bodies import Body
from ..pieces.outlines import as_stroke, own_role, said_role
from ..words.mark_names import layer_of, line_name, mark_name
from ..words.roles import Role
from ..words.wording import says_fold
from . import own
from .darts import darts_of
from .grains import grain_of
from .meetings import Line, is_circle
from .notches import LONGEST, notch_of
from .units import Unit, units_of

_OFF_LINE: Final = 0.1  # mm; a mark farther off its line than this is reported
_HOLE: Final = 15.0  # mm; a larger circle is no drill hole unless a label says so
_FAR_FROM_FOLD: Final = 1.0  # mm; a fold line this near to an edge lies on it

_KINDS: Final = {
    Role.FOLD: InternalKind.FOLD,
    Role.SEW: InternalKind.SEW,
    Role.SEAM: InternalKind.SEW,
    Role.CUTOUT: InternalKind.CUTOUT,
    Role.STRIPE: InternalKind.STRIPE,
    Role.PLAID: InternalKind.PLAID,
    Role.GRADE_REFERENCE: InternalKind.GRADE_REFERENCE,
    Role.ALTERNATE_GRADE_REFERENCE: InternalKind.ALTERNATE_GRADE_REFERENCE,
    Role.VALIDATION: InternalKind.VALIDATION,
}
_NO_NOTCH: Final = frozenset(_KINDS) | {Role.DART, Role.DRILL, Role.INTERNAL, Role.GRAIN, Role.CUT}


@dataclass(slots=True)
class Inside:
    """The parts of a shape that are not its outlines; stations count on the outlines as drawn.

    taken  elements of our own writer whose data were read
    """

    notches: list[Notch] = field(default_factory=list)
    darts: list[Dart] = field(default_factory=list)
    grain_line: GrainLine | None = None
    lines: list[InternalLine] = field(default_factory=list)
    holes: list[DrillHole] = field(default_factory=list)
    mirrored_half: bool = False
    taken: set[Named] = field(default_factory=set)


def inside_of(body: Body, seam: Curve, cut: Curve | None, notes: Notes) -> Inside:
    """Sorts the lines of a body. `seam` and `cut` as drawn; a lone cut line stands as `seam`."""
    found = Inside()
    lines = [Line(seam, LineRole.SEAM)]
    if cut is not None:
        lines.append(Line(cut, LineRole.CUT))
    strokes = [*body.strokes, *map(as_stroke, body.inner)]
    strokes.sort(key=lambda s: s.order)
    strokes = [s for s in strokes if not own.take(s, body, lines, found)]
    _grain(strokes, found)
    _darts(strokes, seam, body, found)
    _notches(strokes, lines, body, found, notes)
    _drill_marks(strokes, body, found)
    for stroke in strokes:
        hole = _hole(stroke)
        if hole is not None:
            found.holes.append(replace(hole, name=mark_name([stroke], body)))
            continue
        line = _line(stroke, body)
        if (
            line.kind is InternalKind.INTERNAL
            and stroke.looks.dashed
            and says_fold(body.texts)
            and _lies_on(stroke.curve, lines)
        ):
            line = replace(line, kind=InternalKind.FOLD)
        found.lines.append(line)
    found.notches = _unique_notches(found.notches)
    found.mirrored_half = found.mirrored_half or any(
        line.kind is InternalKind.FOLD and _lies_on(line.curve, lines) for line in found.lines
    )
    return found


def _grain(strokes: list[Stroke], found: Inside) -> None:
    if found.grain_line is not None:
        return
    grain = grain_of(strokes)
    if grain is not None:
        found.grain_line = grain.line
        _remove(strokes, grain.strokes)


def _darts(strokes: list[Stroke], seam: Curve, body: Body, found: Inside) -> None:
    for dart in darts_of(strokes, seam):
        name = mark_name(dart.strokes, body)
        taken = {d.name for d in found.darts}
        number = len(found.darts) + 1
        if not name or name in taken:
            name = f"dart-{number}"
        found.darts.append(replace(dart.dart, name=name))
        if dart.straight:
            _remove(strokes, dart.strokes)
        # Legs that bend say more than the dart can hold: they stay as internal lines too.


def _notches(
    strokes: list[Stroke], lines: list[Line], body: Body, found: Inside, notes: Notes
) -> None:
    small = []
    for stroke in strokes:
        role, _ = said_role(stroke)
        if role is Role.NOTCH or (
            role not in _NO_NOTCH and diagonal(stroke.curve.bbox) <= LONGEST + 1e-6
        ):
            small.append(stroke)
    for unit in units_of(small):
        labelled = any(said_role(s)[0] is Role.NOTCH for s in unit.strokes)
        if not labelled and _hole_of_circle(unit) is not None and not _crosses(unit, lines):
            continue
        notch = notch_of(unit, lines, labelled=labelled, name=mark_name(unit.strokes, body))
        if notch is None:
            continue
        found.notches.append(notch)
        _remove(strokes, unit.strokes)
        if notch.distance > _OFF_LINE:
            curve = lines[0].curve if notch.line is LineRole.SEAM else lines[-1].curve
            x, y = curve.point_of(notch.station)
            notes.note(
                "mark.off-line",
                f"{body.name}: a notch lay {notes.length(notch.distance)} off its line and was "
                "put on it",
                unit.strokes[0].named.node,
                piece=body.name,
                size=body.size,
                x=float(x),
                y=float(y),
                measured=notch.distance,
                limit=_OFF_LINE,
                repaired=True,
            )


def _drill_marks(strokes: list[Stroke], body: Body, found: Inside) -> None:
    """What a label calls drill holes: a circle, a cross, a dot, each mark one hole."""
    for unit in units_of([s for s in strokes if said_role(s)[0] is Role.DRILL]):
        circle = next((s.curve for s in unit.strokes if is_circle(s.curve)), None)
        x, y = (float(v) for v in unit.middle)
        found.holes.append(
            DrillHole(
                at=(x, y),
                diameter=None if circle is None else float(circle.bbox[2] - circle.bbox[0]),
                name=mark_name(unit.strokes, body),
            )
        )
        _remove(strokes, unit.strokes)


def _unique_notches(notches: list[Notch]) -> list[Notch]:
    seen: dict[str, int] = {}
    out = []
    for notch in notches:
        count = seen[notch.name] = seen.get(notch.name, 0) + 1
        out.append(
            replace(notch, name=f"{notch.name}-{count}") if notch.name and count > 1 else notch
        )
    return out


def _hole_of_circle(unit: Unit) -> DrillHole | None:
    return _hole(unit.strokes[0]) if len(unit.strokes) == 1 else None


def _crosses(unit: Unit, lines: list[Line]) -> bool:
    curve = unit.strokes[0].curve
    for line in lines:
        if len(line.curve.intersections(curve).own):
            return True
        near = line.curve.nearest(np.array([unit.middle]))
        if float(near.distances[0]) <= 0.5:
            return True
    return False


def _hole(stroke: Stroke) -> DrillHole | None:
    """A small circle is a drill hole."""
    curve = stroke.curve
    x0, y0, x1, y1 = (float(v) for v in curve.bbox)
    at = ((x0 + x1) / 2, (y0 + y1) / 2)
    role, _ = said_role(stroke)
    if role in (None, Role.OUTLINE) and x1 - x0 <= _HOLE and is_circle(curve):
        return DrillHole(at=at, diameter=x1 - x0)
    return None


def _line(stroke: Stroke, body: Body) -> InternalLine:
    role, _ = own_role(stroke.named)
    if role is None:
        role, _ = said_role(stroke)
    if role is None and stroke.group is not None:
        # A container inside the piece may say in more words what its lines are.
        around = set(body.group.up()) if body.group is not None else set()
        for group in stroke.group.up():
            if group in around:
                break
            role, _ = own_role(group.named)
            if role is not None:
                break
    kind = InternalKind.INTERNAL
    if role is not None:
        kind = _KINDS.get(role, InternalKind.INTERNAL)
        if role is Role.CUT and stroke.curve.closed:
            kind = InternalKind.CUTOUT
    return InternalLine(
        kind=kind,
        curve=stroke.curve,
        name=line_name(stroke, body),
        layer=layer_of(stroke.group, body),
    )


def _lies_on(curve: Curve, lines: list[Line]) -> bool:
    """Whether a straight line lies along an outline."""
    chord = float(np.hypot(*(curve.end - curve.start)))
    if curve.closed or chord < 0.999 * curve.length or curve.length < 20.0:
        return False
    points = curve.point_at(np.linspace(0.0, curve.length, 9))
    return any(
        bool((line.curve.nearest(points).distances <= _FAR_FROM_FOLD).all()) for line in lines
    )


def _remove(strokes: list[Stroke], gone: list[Stroke]) -> None:
    for stroke in gone:
        if stroke in strokes:
            strokes.remove(stroke)

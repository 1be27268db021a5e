"""A dart moved, split, merged or folded: all are turns about its point."""

from __future__ import annotations

from typing import Any

from seamwright.findings import SeamwrightError
from seamwright.geometry import GeometryError
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import Turned, cloth_area, renew, turn_dart
from seamwright.model.marking import Dart
from seamwright.plan.spots import find_piece, parse_spot, spot_lengths
from seamwright.plugins.api import Context, StepResult

from . import codes
from .bench import Bench, marks_in_plan, refused, row
from .cut import with_dart_cut
from .options import FoldDart, MergeDarts, MoveDart, SplitDart, Turns


def move(pattern: Pattern, options: MoveDart, ctx: Context) -> StepResult:
    """The whole dart to another place. See the page move-dart."""
    return _run(pattern, ctx, options.dart, to=options.to, turns=options.turns)


def split(pattern: Pattern, options: SplitDart, ctx: Context) -> StepResult:
    """A share of the dart to a second place. See the page split-dart."""
    return _run(
        pattern, ctx, options.dart, to=options.to, turns=options.turns, share=options.share,
        new_name=options.name,
    )  # fmt: skip


def fold(pattern: Pattern, options: FoldDart, ctx: Context) -> StepResult:
    """The dart closed, the piece open at another place. See the page fold-dart."""
    return _run(pattern, ctx, options.dart, to=options.open, turns=options.turns, cut=True)


def merge(pattern: Pattern, options: MergeDarts, ctx: Context) -> StepResult:
    """One dart closed into another. See the page merge-darts."""
    return _run(pattern, ctx, options.dart, into=options.into, turns=options.turns)


def _run(
    pattern: Pattern,
    ctx: Context,
    dart: str,
    *,
    to: str = "",
    into: str = "",
    turns: Turns,
    share: float = 1.0,
    new_name: str = "",
    cut: bool = False,
) -> StepResult:
    bench = Bench(pattern, ctx)
    try:
        piece, name = bench.named(dart)
        goal: str | None = None
        places = None
        if into:
            other, goal = bench.named(into)
            if other.name != piece.name or goal == name:
                raise SeamwrightError.of(
                    codes.REFUSED.code, "two different darts of one piece are merged",
                    piece=piece.name, hint="name two darts of one piece",
                )  # fmt: skip
        else:
            places = _places(pattern, piece, to, ctx)
            taken = {d.name for s in piece.shapes for d in s.darts}
            if new_name and new_name in taken:
                raise SeamwrightError.of(
                    codes.REFUSED.code, f'piece "{piece.name}" has a dart "{new_name}" already',
                    piece=piece.name, hint="another name",
                )  # fmt: skip
            if share < 1.0 and not new_name:
                number = 2
                while f"{name}-{number}" in taken:
                    number += 1
                new_name = f"{name}-{number}"
    except SeamwrightError as error:
        return refused(pattern, error)
    plan_marks = marks_in_plan(pattern, piece.name)

    def change(shape: Shape, one: Dart, z: int) -> Shape:
        straightened, one, shifted = bench.equalised(piece, shape, one)
        at: float | str
        if goal is not None:
            straightened = _one_point(bench, piece, straightened, one, goal)
            at = goal
        else:
            assert places is not None
            at = float(places[z])
            if at != at:
                raise GeometryError(f'"{to}" is no place in this size')
        turned = turn_dart(
            straightened, one.name, at, share=share, turned=turns, new_name=new_name,
            drop={c.name for c in shape.corners if c.name not in plan_marks and _counted(c.name)},
        )  # fmt: skip
        _joined_corners(bench, piece, shape, turned, plan_marks)
        new = bench.cut_line(piece, renew(turned.shape, shape))
        return _told(bench, piece, shape, new, turned, shifted, cut)

    bench.each(piece, name, change)
    return bench.result(pattern)


def _places(pattern: Pattern, piece: Piece, text: str, ctx: Context) -> Any:
    try:
        spot = parse_spot(text, default=ctx.units)
    except ValueError as error:
        raise SeamwrightError.of("spot.unreadable", str(error), piece=piece.name) from None
    if find_piece(pattern, spot.piece) != piece.name:
        raise SeamwrightError.of(
            codes.REFUSED.code, f'"{text}" is not on the piece "{piece.name}" of the dart',
            piece=piece.name, hint="a dart moves within its piece",
        )  # fmt: skip
    return spot_lengths(pattern, spot)


def _one_point(bench: Bench, piece: Piece, shape: Shape, dart: Dart, into: str) -> Shape:
    """Both darts' points at one place where only a file's rounding parts them."""
    other = next((d for d in shape.darts if d.name == into), None)
    if other is None:
        raise GeometryError(f'there is no dart "{into}" in this size')
    gap = max(abs(a - b) for a, b in zip(dart.apex, other.apex, strict=True))
    if gap > 1e-6:
        raise GeometryError(
            f'its point is {bench.ctx.length(gap)} from that of "{into}"; bring both to one '
            "place with shift-dart-point first"
        )
    return shape


def _joined_corners(
    bench: Bench, piece: Piece, shape: Shape, turned: Turned, in_plan: set[str]
) -> None:
    """Corners that the plan named and that fell together with another."""
    left = {c.name for c in turned.shape.corners}
    gone = [c for c in shape.corners if c.name not in left and c.name in in_plan]
    if not gone or turned.kink is None:
        return
    for corner in gone:
        # The mouth's two ends are one place now: the other end's name stands for both.
        ends = [c for c in shape.corners if c is not corner and c.name in left]
        at = shape.seam_line.point_of(corner.station)
        stays = min(
            ends,
            key=lambda c: float(((shape.seam_line.point_of(c.station) - at) ** 2).sum()),
        )
        bench.renamed.setdefault(piece.name, {})[corner.name] = stays.name
        bench.tell(
            codes.GONE, f'corner "{corner.name}" fell together with "{stays.name}"', piece, shape
        )


def _told(
    bench: Bench, piece: Piece, old: Shape, new: Shape, turned: Turned, shifted: float, cut: bool
) -> Shape:
    was = {d.name: row(piece, old, d) for d in old.darts}
    if turned.kink is not None and abs(turned.kink) > 1.0:
        bench.tell(
            codes.CLOSED_KINK,
            f"the edge turns by {abs(turned.kink):.1f} degrees where the dart was closed",
            piece, new, measured=abs(turned.kink),
        )  # fmt: skip
    if not cut:
        bench.tell(codes.UNTRUED, f'the mouth of "{turned.dart.name}" is straight', piece, new)
    moved = next(d for d in new.darts if d.name == turned.dart.name)
    bench.rows.append(
        {
            **row(piece, new, moved),
            "turned_degrees": turned.degrees,
            "turned_side": turned.side,
            "closed_kink": turned.kink,
            "point_shifted": shifted,
            "cloth_area_before": cloth_area(old),
            "cloth_area_after": cloth_area(new),
            "angles_before": sum(r["angle"] for r in was.values()),
            "angles_after": sum(row(piece, new, d)["angle"] for d in new.darts),
        }
    )
    return with_dart_cut(new, moved) if cut else new


def _counted(name: str) -> bool:
    head, _, tail = name.rpartition("-")
    return head == "corner" and tail.isdigit()

"""The cut line drawn from the seam line."""

from __future__ import annotations

from typing import Any

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import GeometryError, measure_together
from seamwright.geometry.outline_offset import CornerRule
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import MadeCutLine, make_cut_lines
from seamwright.model.marking import InternalKind
from seamwright.plan.grammar import parse_mark, parse_part
from seamwright.plan.spots import find_piece, find_run
from seamwright.plugins.api import Context, Finding, StepResult

from . import codes
from .edges import EdgeValues
from .holes import cut_outs
from .options import AddAllowance, Corner


def add(pattern: Pattern, options: AddAllowance, ctx: Context) -> StepResult:
    """Every shape gets a cut line; an edge on a fold gets none. See the page add-allowance.

    Corner finishes are common practice, no source; their lengths are plain geometry.
    """
    widths = EdgeValues(pattern, options.edges)
    corners = _Corners(pattern, options)
    findings: list[Finding] = []
    rows: list[dict[str, Any]] = []

    pieces = {shape: piece for piece in pattern.pieces for shape in piece.shapes}
    measure_together([shape.seam_line for shape in pieces])
    orders = []
    for shape, piece in pieces.items():
        each = widths.of(piece, shape, float(options.width))
        on_fold = _fold_edges(shape)
        each = [0.0 if i in on_fold else float(w) for i, w in enumerate(each)]
        orders.append((shape, each, corners.rules(piece, shape)))
    done = make_cut_lines(orders)
    measure_together([m.shape.cut_line for m in done if isinstance(m, MadeCutLine)
                      and m.shape.cut_line is not None])  # fmt: skip
    new: dict[Shape, Shape] = {}
    for (shape, each, _), made in zip(orders, done, strict=True):
        piece = pieces[shape]
        if isinstance(made, GeometryError):
            findings.append(
                Finding(
                    code=codes.TOO_WIDE.code,
                    severity=codes.TOO_WIDE.severity,
                    message=f"no cut line can be drawn: {made}",
                    piece=piece.name,
                    size=shape.size,
                    hint=codes.TOO_WIDE.remedy,
                )
            )
            continue
        for name in made.blunted:
            findings.append(_note(codes.BLUNTED, piece, shape, f'the mitre at "{name}" is cut off'))
        if shape.cut_line is not None:
            findings.append(_note(codes.HAS_CUT_LINE, piece, shape, "the cut line is drawn anew"))
        for hole in cut_outs(shape):
            what = f'the cut-out "{hole.name}"' if hole.name else "a cut-out"
            findings.append(_note(codes.HOLE_LEFT, piece, shape, f"{what} stays as it is drawn"))
        new[shape] = made.shape
        assert made.shape.cut_line is not None
        rows.append(
            {
                "piece": piece.name,
                "size": shape.size,
                "seam_line_length": shape.seam_line.length,
                "cut_line_length": made.shape.cut_line.length,
                "area": made.shape.cut_line.area,
                "widest": max(each),
                "narrowest": min(each),
            }
        )

    changed = pattern.map_shapes(lambda _, shape: new.get(shape, shape))
    if any(f.severity is codes.TOO_WIDE.severity for f in findings):
        # Half a pattern with cut lines and half without would be cut wrong by somebody.
        return StepResult(pattern=pattern, findings=tuple(findings), looked_at=len(rows))
    return StepResult(
        pattern=changed,
        findings=tuple(findings),
        looked_at=len(rows),
        figures={"shapes": rows},
    )


class _Corners:
    """How each corner is finished."""

    def __init__(self, pattern: Pattern, options: AddAllowance) -> None:
        self._pattern = pattern
        self._default = CornerRule(style=options.corners, limit=options.limit)
        self._limit = options.limit
        self._given: dict[tuple[str, str], Corner] = {}
        for text, corner in options.corner.items():
            mark = parse_mark(text)
            if mark.piece is None:
                raise SeamwrightError.of(
                    "spot.unreadable", f'"{text}" names no piece: write "Piece: corner"'
                )
            piece = pattern.piece(find_piece(pattern, mark.piece))
            names = [c.name for s in piece.shapes for c in s.corners]
            if mark.name not in names:
                raise SeamwrightError.of(
                    "plan.mark",
                    f'piece "{piece.name}" has no corner "{mark.name}"',
                    piece=piece.name,
                    hint=did_you_mean(mark.name, dict.fromkeys(names)),
                )
            self._given[(piece.name, mark.name)] = corner

    def rules(self, piece: Piece, shape: Shape) -> list[CornerRule]:
        return [self._rule(piece, shape, i, c.name) for i, c in enumerate(shape.corners)] or [
            self._default
        ]

    def _rule(self, piece: Piece, shape: Shape, i: int, name: str) -> CornerRule:
        corner = self._given.get((piece.name, name))
        if corner is None:
            return self._default
        if not corner.first:
            return CornerRule(style=corner.style, limit=self._limit)
        text = corner.first if ":" in corner.first else f'"{piece.name}": {corner.first}'
        run = find_run(self._pattern, parse_part(text))
        z = self._pattern.sizes.index(shape.size)
        at = float(shape.seam_line.cumulative[shape.corners[i].station.segment])
        start, end = (run.starts, run.ends) if run.forward else (run.ends, run.starts)
        whole = shape.seam_line.length

        def here(value: float) -> bool:
            return abs((value - at + 0.5 * whole) % whole - 0.5 * whole) < 1e-6

        if here(float(start[z])):
            return CornerRule(style=corner.style, first="after", limit=self._limit)
        if here(float(end[z])):
            return CornerRule(style=corner.style, first="before", limit=self._limit)
        raise SeamwrightError.of(
            "allowance.not-at-corner",
            f'the edge "{corner.first}" neither begins nor ends at "{name}"',
            piece=piece.name,
            size=shape.size,
            hint="name an edge that has the corner at one end",
        )


def _fold_edges(shape: Shape) -> set[int]:
    """Edges of a half piece that lie on its fold: they are not cut."""
    if not shape.mirrored_half:
        return set()
    folds = [line.curve for line in shape.internal_lines if line.kind is InternalKind.FOLD]
    found = set()
    for i in range(len(shape.corners)):
        edge = shape.edge_curve(i)
        places = edge.point_at(edge.length * 0.25), edge.point_at(edge.length * 0.75)
        for fold in folds:
            if all(float(fold.nearest(p[None]).distances[0]) < 0.1 for p in places):
                found.add(i)
    return found


def _note(code: Any, piece: Piece, shape: Shape, message: str) -> Finding:
    return Finding(
        code=code.code,
        severity=code.severity,
        message=message,
        piece=piece.name,
        size=shape.size,
        hint=code.remedy,
    )

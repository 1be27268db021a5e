"""What the dart steps share: the dart that is meant, every size of it, all or nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from seamwright.findings import SeamwrightError, did_you_mean
from seamwright.geometry import GeometryError
from seamwright.model import Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.edit import Renewed, wedge_of, with_legs_equal
from seamwright.model.marking import Dart
from seamwright.plan.grammar import parse_mark
from seamwright.plan.names import look_up
from seamwright.plan.spots import find_piece
from seamwright.plugins.api import Code, Context, Finding, StepResult

from . import codes

ROUNDING = 0.5  # mm; legs that differ by less are meant to be equal and were rounded by a file


class Bench:
    """Collects findings and figures of one step, and undoes everything when one size refuses."""

    def __init__(self, pattern: Pattern, ctx: Context) -> None:
        self.pattern, self.ctx = pattern, ctx
        self.findings: list[Finding] = []
        self.rows: list[dict[str, Any]] = []
        self.renamed: dict[str, dict[str, str]] = {}  # piece -> corner that went -> that is left

    def tell(
        self, code: Code, message: str, piece: Piece, shape: Shape | None = None, **fields: Any
    ) -> None:
        """A finding with the code's severity and remedy."""
        self.findings.append(
            Finding(
                code=code.code, severity=code.severity, message=message, piece=piece.name,
                size=shape.size if shape else None, hint=fields.pop("hint", code.remedy), **fields,
            )
        )  # fmt: skip

    def named(self, text: str) -> tuple[Piece, str]:
        """The piece and the dart that an option names. Raises SeamwrightError."""
        names = [p.name for p in self.pattern.pieces]
        whole, _ = look_up(text, names)
        name = ""
        if whole is None:
            try:
                mark = parse_mark(text)
            except ValueError as error:
                raise SeamwrightError.of(codes.UNKNOWN.code, str(error)) from None
            if mark.piece is None:
                raise SeamwrightError.of(
                    codes.UNKNOWN.code,
                    f'"{text}" names no dart: write "Piece: dart"',
                    hint=did_you_mean(text, names),
                )
            whole, name = find_piece(self.pattern, mark.piece), mark.name
        piece = self.pattern.piece(whole)
        known = list(dict.fromkeys(d.name for s in piece.shapes for d in s.darts))
        if not known:
            raise SeamwrightError.of(
                codes.UNKNOWN.code, f'piece "{whole}" has no dart', piece=whole,
                hint=codes.UNKNOWN.remedy,
            )  # fmt: skip
        if not name and len(known) == 1:
            return piece, known[0]
        found, _ = look_up(name, known)
        if not name or found is None:
            said = f'has no dart "{name}"' if name else "has several darts"
            raise SeamwrightError.of(
                codes.UNKNOWN.code, f'piece "{whole}" {said}', piece=whole,
                hint=did_you_mean(name, known),
            )  # fmt: skip
        return piece, found

    def each(self, piece: Piece, name: str, change: Callable[[Shape, Dart, int], Shape]) -> None:
        """Passes every size's shape that has the dart through `change`; GeometryError from it is
        a refusal."""
        changed = []
        for shape in self.pattern.piece(piece.name).shapes:
            dart = next((d for d in shape.darts if d.name == name), None)
            if dart is None:
                self.tell(codes.NOT_ALL, f'no dart "{name}" in this size', piece, shape)
                changed.append(shape)
                continue
            try:
                changed.append(change(shape, dart, self.pattern.sizes.index(shape.size)))
            except GeometryError as error:
                self.tell(codes.REFUSED, f'dart "{name}": {error}', piece, shape)
                changed.append(shape)
        if any(a is not b for a, b in zip(changed, piece.shapes, strict=True)):
            self.pattern = self.pattern.with_pieces([piece.but(shapes=tuple(changed))])

    def equalised(self, piece: Piece, shape: Shape, dart: Dart) -> tuple[Shape, Dart, float]:
        """The shape with the dart's legs exactly equal, where a file's rounding made them
        differ. GeometryError where they differ by more."""
        legs = wedge_of(shape, dart).legs
        if abs(legs[0] - legs[1]) > ROUNDING:
            raise GeometryError(
                f"its legs are {self.ctx.length(legs[0])} and {self.ctx.length(legs[1])} long; "
                "make them equal with true-dart first"
            )
        new, moved = with_legs_equal(shape, dart)
        if new is dart:
            return shape, dart, 0.0
        if moved > 1e-3:
            self.tell(
                codes.SHIFTED, f'the point of "{dart.name}" moved {self.ctx.length(moved)}',
                piece, shape, measured=moved,
            )  # fmt: skip
        darts = tuple(new if d is dart else d for d in shape.darts)
        return shape.but(darts=darts), new, moved

    def cut_line(self, piece: Piece, renewed: Renewed) -> Shape:
        """Says what became of the cut line."""
        if renewed.cut_line == "dropped":
            self.tell(codes.CUT_LINE, "the cut line was taken away", piece, renewed.shape)
        elif renewed.cut_line == "remade":
            self.tell(codes.REMADE, renewed.said, piece, renewed.shape)
        return renewed.shape

    def result(self, before: Pattern, **figures: Any) -> StepResult:
        """The step's answer; the unchanged pattern where any size refused."""
        looked = len(self.rows)
        if any(f.severity is codes.REFUSED.severity for f in self.findings):
            errors = tuple(f for f in self.findings if f.severity is codes.REFUSED.severity)
            return StepResult(pattern=before, findings=errors, looked_at=looked)
        pattern = self.pattern
        if any(self.renamed.values()):
            pattern = pattern.but(seams=tuple(_renamed(s, self.renamed) for s in pattern.seams))
        return StepResult(
            pattern=pattern,
            findings=tuple(self.findings),
            looked_at=looked,
            figures={"darts": self.rows, **figures} if self.rows else figures,
        )


def refused(pattern: Pattern, error: SeamwrightError) -> StepResult:
    """A step that did nothing, and why."""
    return StepResult(pattern=pattern, findings=(error.finding, *error.others))


def row(piece: Piece, shape: Shape, dart: Dart) -> dict[str, Any]:
    """A dart's figures: mm and degrees."""
    w = wedge_of(shape, dart)
    return {
        "piece": piece.name, "size": shape.size, "dart": dart.name,
        "leg_left": w.legs[0], "leg_right": w.legs[1], "angle": w.angle, "intake": w.intake,
        "mouth": w.mouth, "x": w.apex[0].item(), "y": w.apex[1].item(),
    }  # fmt: skip


def marks_in_plan(pattern: Pattern, piece: str) -> set[str]:
    """Names of the piece's marks at which a run of the plan begins, ends or passes."""
    return {
        mark
        for seam in pattern.seams
        for run in (seam.sew, seam.to)
        for part in run
        if part.piece == piece
        for mark in part.marks
    }


def _renamed(seam: Seam, renamed: Mapping[str, Mapping[str, str]]) -> Seam:
    def one(part: RunPart) -> RunPart:
        names = renamed.get(part.piece, {})
        marks = tuple(names.get(m, m) for m in part.marks)
        return part if marks == part.marks else replace(part, marks=marks)

    def run(r: Run) -> Run:
        parts = tuple(one(p) for p in r)
        return r if parts == r.parts else replace(r, parts=parts)

    sew, to = run(seam.sew), run(seam.to)
    return seam if sew is seam.sew and to is seam.to else replace(seam, sew=sew, to=to)

"""Which edge of which shape gets which width, from runs as a person names them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from seamwright.findings import SeamwrightError
from seamwright.model import Pattern, Piece, Shape
from seamwright.plan.grammar import parse_part
from seamwright.plan.names import look_up
from seamwright.plan.runs import ResolvedPart
from seamwright.plan.spots import edges_covered, find_piece, find_run

Key = tuple[str, str]


class EdgeValues:
    """Values given for pieces and runs, laid out edge by edge.

    given   "Piece" or "Piece: mark > mark" -> value; later entries override earlier ones
    Raises SeamwrightError for an unknown piece or mark, or a run that stops inside an edge.
    """

    def __init__(self, pattern: Pattern, given: Mapping[str, Any]) -> None:
        self._runs: list[tuple[str, ResolvedPart | None, Any]] = []
        self._columns = {size: z for z, size in enumerate(pattern.sizes)}
        names = [p.name for p in pattern.pieces]
        for text, value in given.items():
            piece, _ = look_up(text, names)
            if piece is not None:
                self._runs.append((piece, None, value))
                continue
            try:
                part = parse_part(text)
            except ValueError as error:
                if ":" not in text and ">" not in text:
                    find_piece(pattern, text)  # says which names are near
                raise SeamwrightError.of("spot.unreadable", str(error)) from None
            run = find_run(pattern, part)
            self._runs.append((run.part.piece, run, value))

    def of(self, piece: Piece, shape: Shape, default: Any) -> list[Any]:
        """One value for each edge of a shape, in edge order."""
        values = [default] * max(len(shape.corners), 1)
        for name, run, value in self._runs:
            if name != piece.name:
                continue
            numbers: Sequence[int] = range(len(values))
            if run is not None:
                numbers = edges_covered(shape, run, self._columns[shape.size])
            for i in numbers:
                values[i] = value
        return values

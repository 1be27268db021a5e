"""Giving a piece's corners and notches the plan's names, in all sizes."""

from __future__ import annotations

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.geometry import Station
from seamwright.model import LineRole, Piece, Shape, name_marks

from .kinds import PiecePlan
from .topology import names_by_place
from .voice import Voice


class Naming:
    """Names marks as a plan says; refusals and notes go through the voice."""

    def __init__(self, voice: Voice, base_size: str) -> None:
        self.voice = voice
        self.base_size = base_size

    def named(self, piece: Piece, names: PiecePlan, written: str) -> Piece:
        if not piece.shapes:
            return piece
        base = next((s for s in piece.shapes if s.size == self.base_size), piece.shapes[0])
        named = self.named_shape(piece, base, names, written)
        shapes = []
        for shape in piece.shapes:
            if shape is base:
                shapes.append(named)
            elif _counts(shape, names) == _counts(base, names):
                shapes.append(self.named_shape(piece, shape, names, written))
            else:
                shapes.append(names_by_place(shape, named))
                self.voice.findings.append(self.other_marks(piece, shape, base))
        if all(a is b for a, b in zip(shapes, piece.shapes, strict=True)):
            return piece
        return piece.but(shapes=tuple(shapes))

    def named_shape(self, piece: Piece, shape: Shape, names: PiecePlan, written: str) -> Shape:
        for key, marks in (("corners", shape.corners), ("notches", shape.notches)):
            given = getattr(names, key)
            if given is not None and len(given) != len(marks):
                raise self.wrong_count(piece, shape, key, len(given), written)
        try:
            return name_marks(shape, corners=names.corners, notches=names.notches)
        except ValueError as error:
            raise self.voice.refuse(
                "plan.twice",
                f'in piece "{piece.name}" {error}',
                ("pieces", written),
                "give each its own name; a number such as corner-2 belongs to the second corner",
                piece=piece.name,
            ) from None

    def wrong_count(
        self, piece: Piece, shape: Shape, key: str, given: int, written: str
    ) -> SeamwrightError:
        places = _places_of(shape, key)
        count = len(places)
        what = key if count != 1 else key.removesuffix("es") if key == "notches" else "corner"
        found = f"{count} {what} {'was' if count == 1 else 'were'} found in size {shape.size}"
        shown = "; ".join(f"{name} at ({x:.1f}, {y:.1f}) mm" for name, x, y in places[:12])
        more = f"; and {count - 12} more" if count > 12 else ""
        angle = "; --corner-angle changes what counts as a corner" if key == "corners" else ""
        return self.voice.refuse(
            "plan.count",
            f'the plan names {given} {key} of piece "{piece.name}", but {found}'
            + (f": {shown}{more}." if places else ""),
            ("pieces", written, key),
            f"`seamwright plan FILE` draws every {'corner' if key == 'corners' else 'notch'} "
            f"with its number{angle}",
            piece=piece.name,
            size=shape.size,
            related=tuple((x, y) for _, x, y in places),
        )

    def other_marks(self, piece: Piece, shape: Shape, base: Shape) -> Finding:
        def counted(one: Shape) -> str:
            return f"{len(one.corners)} corners and {len(one.notches)} notches"

        return Finding(
            code="plan.topology",
            severity=Severity.WARNING,
            message=(
                f'piece "{piece.name}" has {counted(shape)} in size {shape.size} but '
                f"{counted(base)} in size {base.size}: names were given by place, where a partner "
                "lies near"
            ),
            file=self.voice.file,
            piece=piece.name,
            size=shape.size,
            hint="look at this size in the picture that `seamwright plan FILE` draws",
        )


def _counts(shape: Shape, names: PiecePlan) -> tuple[int | None, int | None]:
    return (
        None if names.corners is None else len(shape.corners),
        None if names.notches is None else len(shape.notches),
    )


def _places_of(shape: Shape, key: str) -> list[tuple[str, float, float]]:
    def at(station: Station, line: LineRole = LineRole.SEAM) -> tuple[float, float]:
        cut = shape.cut_line if line is LineRole.CUT else None
        x, y = (shape.seam_line if cut is None else cut).point_of(station)
        return float(x), float(y)

    if key == "corners":
        return [(c.name, *at(c.station)) for c in shape.corners]
    return [(n.name, *at(n.station, n.line)) for n in shape.notches]

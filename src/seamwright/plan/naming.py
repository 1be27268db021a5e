"""Giving a piece's corners and notches the plan's names, in all sizes."""

from __future__ import annotations

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.geometry import Station
from seamwright.model import LineRole, Piece, Shape, name_marks
from seamwright.model.measure import measure

from .kinds import PiecePlan
from .topology import corners_by_place, notches_by_place, strayed_notches
from .voice import Voice


class Naming:
    """Names marks as a plan says; refusals and notes go through the voice."""

    def __init__(self, voice: Voice, base_size: str) -> None:
        self.voice = voice
        self.base_size = base_size
        self._same: list[tuple[Piece, Shape, Shape]] = []

    def named(self, piece: Piece, names: PiecePlan, written: str) -> Piece:
        """The piece with its marks named in every size."""
        if not piece.shapes:
            return piece
        base = next((s for s in piece.shapes if s.size == self.base_size), piece.shapes[0])
        named = self.named_shape(piece, base, names, written)
        shapes = []
        for shape in piece.shapes:
            shapes.append(
                named if shape is base else self.other_size(piece, shape, named, names, written)
            )
        if all(a is b for a, b in zip(shapes, piece.shapes, strict=True)):
            return piece
        return piece.but(shapes=tuple(shapes))

    def other_size(
        self, piece: Piece, shape: Shape, base: Shape, names: PiecePlan, written: str
    ) -> Shape:
        """Another size: named in order where it has as many marks, else by place."""
        corners = len(shape.corners) == len(base.corners)
        notches = len(shape.notches) == len(base.notches)
        in_order = PiecePlan(
            corners=names.corners if corners else None, notches=names.notches if notches else None
        )
        out = self.named_shape(piece, shape, in_order, written)
        if not corners and names.corners is not None:
            out = corners_by_place(out, base)
        if not notches and names.notches is not None:
            out = notches_by_place(out, base)
        if in_order != names:
            self.voice.findings.append(self.other_marks(piece, shape, base))
        elif corners and notches and names.notches:
            self._same.append((piece, out, base))
        return out

    def say_strayed(self) -> None:
        """Says which notches lie between other corners than in the base size; once for all
        pieces, so that everything is measured together."""
        shapes = [shape for _, *pair in self._same for shape in pair]
        known = measure(shapes)
        for (piece, shape, base), own, theirs in zip(
            self._same, known[0::2], known[1::2], strict=True
        ):
            self.voice.findings += [
                Finding(
                    code="plan.notch-place",
                    severity=Severity.WARNING,
                    message=(
                        f'notch "{name}" of piece "{piece.name}" lies between other corners in '
                        f"size {shape.size} than in size {base.size}; notches are named in order "
                        "along the outline"
                    ),
                    file=self.voice.file,
                    piece=piece.name,
                    size=shape.size,
                    hint="look whether the notches of this size are where they belong",
                )
                for name in strayed_notches(shape, own, theirs)
            ]

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
                f'in piece "{piece.name}", size {shape.size}, {error}',
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


def _places_of(shape: Shape, key: str) -> list[tuple[str, float, float]]:
    def at(station: Station, line: LineRole = LineRole.SEAM) -> tuple[float, float]:
        cut = shape.cut_line if line is LineRole.CUT else None
        x, y = (shape.seam_line if cut is None else cut).point_of(station)
        return float(x), float(y)

    if key == "corners":
        return [(c.name, *at(c.station)) for c in shape.corners]
    return [(n.name, *at(n.station, n.line)) for n in shape.notches]

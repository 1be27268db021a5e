"""The tuning garments drawn as other people would: pieces whole instead of on the fold, drafts
that are a little off, notches left out or put elsewhere, quantities not told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from truth import Garment, TrueRun, TrueSeam

from seamwright.geometry import Curve, FloatArray, Station
from seamwright.model import InternalKind, Notch, Piece, Shape, build_shape

XY = tuple[float, float]


def off(garment: Garment, mm: float, seed: int) -> Garment:
    """Every corner moved by about `mm`, the same way in every size but for a tenth of it."""
    name, pattern, truth = garment
    rng = np.random.default_rng(seed)
    pieces = []
    shift: dict[str, tuple[FloatArray, FloatArray]] = {}
    for piece in pattern.pieces:
        n = len(piece.shapes[0].corners)
        common = rng.normal(0.0, mm, (n, 2))
        shapes = []
        for shape in piece.shapes:
            own = common + rng.normal(0.0, mm / 10, (n, 2))
            moved, places = _pulled(shape, own)
            shapes.append(moved)
            if shape.size == pattern.base_size:
                shift[piece.name] = (places, own)
        pieces.append(piece.but(shapes=tuple(shapes)))

    changed = pattern.but(pieces=tuple(pieces))

    def at(piece: str, point: XY) -> XY:
        # The same share of the way between the same corners.
        old = pattern.piece(piece).in_size(pattern.base_size).seam_line
        new = changed.piece(piece).in_size(pattern.base_size).seam_line
        near = old.nearest(np.array([point]))
        found = new.point_of(Station(int(near.segments[0]), float(near.ts[0])))
        return float(found[0]), float(found[1])

    return name, changed, _mapped(truth, at)


def _pulled(shape: Shape, moves: FloatArray) -> tuple[Shape, FloatArray]:
    """The shape with corner k moved by moves[k], the line between following evenly."""
    line = shape.seam_line
    segments = line.segments.copy()
    starts = [c.station.segment for c in shape.corners]
    n = line.n
    cumulative = line.cumulative
    for k, first in enumerate(starts):
        last = starts[(k + 1) % len(starts)]
        count = (last - first) % n or n
        rows = [(first + m) % n for m in range(count)]
        total = sum(line.segment_lengths[r] for r in rows)
        before = 0.0
        for r in rows:
            a = before / total
            before += line.segment_lengths[r]
            b = before / total
            for h, share in enumerate((a, a + (b - a) / 3, a + 2 * (b - a) / 3, b)):
                segments[r, h] += (1 - share) * moves[k] + share * moves[(k + 1) % len(starts)]
    curve = Curve.from_segments(segments, line.kinds, closed=True)
    folds = tuple(
        replace(
            one,
            curve=curve.part(*_span(curve, shape, one.curve)) if one.kind is InternalKind.FOLD
            else one.curve,
        )
        for one in shape.internal_lines
    )  # fmt: skip
    return shape.but(seam_line=curve, internal_lines=folds), cumulative


def _span(curve: Curve, shape: Shape, fold: Curve) -> tuple[float, float]:
    near = shape.seam_line.nearest(np.array([fold.start, fold.end]))
    whole = shape.seam_line.length
    a, b = (float(x) for x in near.lengths)
    if (b - a) % whole > whole / 2:
        a, b = b, a
    ratio = curve.length / whole
    return a * ratio, b * ratio


def _mapped(truth: list[TrueSeam], at: Callable[[str, XY], XY]) -> list[TrueSeam]:
    def run(one: TrueRun) -> TrueRun:
        points = [at(one.piece, p) for p in (one.start, one.end)]
        via = None if one.via is None else at(one.piece, one.via)
        return TrueRun(one.piece, points[0], points[1], via)

    return [TrueSeam(t.name, tuple(map(run, t.a)), tuple(map(run, t.b)), t.cap) for t in truth]


def fewer_notches(garment: Garment, share: float, seed: int) -> Garment:
    """Some notches left out, the same in every size; those that end a true seam stay."""
    name, pattern, truth = garment
    rng = np.random.default_rng(seed)
    ends = [(r.piece, p) for t in truth for r in (*t.a, *t.b) for p in (r.start, r.end)]
    pieces = []
    for piece in pattern.pieces:
        base = piece.in_size(pattern.base_size)
        keep = [
            rng.random() > share
            or any(
                p == piece.name
                and np.hypot(*(np.array(at) - base.seam_line.point_of(n.station))) < 0.5
                for p, at in ends
            )
            for n in base.notches
        ]
        shapes = tuple(
            s.but(notches=tuple(n for n, k in zip(s.notches, keep, strict=True) if k))
            for s in piece.shapes
        )
        pieces.append(piece.but(shapes=shapes))
    return name, pattern.but(pieces=tuple(pieces)), truth


def untold(garment: Garment) -> Garment:
    """No quantities."""
    name, pattern, truth = garment
    pieces = tuple(p.but(quantity=(1, 0)) for p in pattern.pieces)
    return name, pattern.but(pieces=pieces), truth


def whole(garment: Garment) -> Garment:
    """Pieces on the fold drawn whole; true seams on both halves."""
    name, pattern, truth = garment
    pieces: list[Piece] = []
    mirror: dict[str, FloatArray] = {}
    for piece in pattern.pieces:
        base = piece.in_size(pattern.base_size)
        if not base.mirrored_half:
            pieces.append(piece)
            continue
        made = [_unfolded(s) for s in piece.shapes]
        mirror[piece.name] = next(
            m for (_, m), s in zip(made, piece.shapes, strict=True) if s is base
        )
        pieces.append(piece.but(shapes=tuple(s for s, _ in made)))

    def other(one: TrueRun) -> TrueRun:
        if one.piece not in mirror:
            return one

        def at(p: XY) -> XY:
            x, y = mirror[one.piece] @ np.array([*p, 1.0])
            return float(x), float(y)

        return TrueRun(one.piece, at(one.start), at(one.end), at(one.via) if one.via else None)

    def back(side: tuple[TrueRun, ...]) -> tuple[TrueRun, ...]:
        out: list[TrueRun] = []
        turned = False
        for k, one in enumerate(side):
            before = side[k - 1] if k else None
            turned = turned or (
                before is not None and one.piece in mirror
                and (one.start, one.end) == (before.end, before.start)
            )  # fmt: skip
            out.append(other(one) if turned else one)
        return tuple(out)

    seams = []
    for t in truth:
        a, b = back(t.a), back(t.b)
        seams.append(TrueSeam(t.name, a, b, t.cap))
        touched = any(r.piece in mirror for r in (*t.a, *t.b))
        if touched and (a, b) == (t.a, t.b):
            seams.append(
                TrueSeam(f"{t.name}, other half", tuple(map(other, a)), tuple(map(other, b)), t.cap)
            )
    return name, pattern.but(pieces=tuple(pieces)), seams


def _unfolded(shape: Shape) -> tuple[Shape, FloatArray]:
    fold = next(x.curve for x in shape.internal_lines if x.kind is InternalKind.FOLD)
    a, b = np.asarray(fold.start), np.asarray(fold.end)
    d = (b - a) / np.hypot(*(b - a))
    r = np.array([[2 * d[0] ** 2 - 1, 2 * d[0] * d[1]], [2 * d[0] * d[1], 2 * d[1] ** 2 - 1]])
    m = np.column_stack((r, a - r @ a))
    line = shape.seam_line
    near = line.nearest(np.array([a, b]))
    start, end = (float(x) for x in near.lengths)
    total = line.length
    if (end - start) % total > total / 2:
        start, end = end, start
    half = line.part(end, start)  # all but the fold, with the outline
    long = half.length
    other = half.transformed(m).reversed()
    joined = half.joined(other, tolerance=1e-6).closed_up(1e-6)

    def along(station: Station) -> float | None:
        s = (line.length_of(station) - end) % total
        return s if 0.5 < s < long - 0.5 else None

    corners = [along(c.station) for c in shape.corners]
    inner = [c for c in corners if c is not None]
    # At the fold a corner stays one where the outline turns there.
    places = sorted({*inner, *(2 * long - c for c in inner)})
    for at in (0.0, long):
        before = joined.tangent_at((at - 0.01) % (2 * long))
        after = joined.tangent_at((at + 0.01) % (2 * long))
        if float(before @ after) < 0.94:
            places.append(at)
    notches = []
    for n in shape.notches:
        s = along(n.station)
        if s is not None:
            notches += [
                Notch(name="", station=joined.station_at(x), depth=n.depth)
                for x in (s, 2 * long - s)
            ]
    return (
        build_shape(
            size=shape.size,
            outline=joined,
            corners=[joined.station_at(x % (2 * long)) for x in sorted(places)],
            notches=notches,
            grain_line=shape.grain_line,
        ),
        m,
    )


def all_variants(garments: list[Garment], seed: int) -> list[Garment]:
    """Each garment five ways."""
    out: list[Garment] = []
    for k, g in enumerate(garments):
        out += [
            off(g, 0.4, seed + k),
            off(fewer_notches(g, 0.7, seed + k), 0.8, seed + k),
            whole(g),
            untold(g),
            untold(whole(fewer_notches(g, 0.5, seed + k))),
        ]
    return out

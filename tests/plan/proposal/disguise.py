"""A garment made unrecognisable: names gone, pieces turned, mirrored, shuffled; and read back
from a file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from truth import Garment, TrueRun, TrueSeam

import seamwright
from seamwright.geometry import FloatArray
from seamwright.model import Piece, Shape, align_sizes
from seamwright.model.edit import transform


def disguised(garment: Garment, seed: int) -> Garment:
    """The garment with pieces called P1, P2, ..., marks by their numbers, texts and material gone;
    each piece turned by any angle, every other one mirrored, all in another order."""
    name, pattern, truth = garment
    rng = np.random.default_rng(seed)
    order = rng.permutation(len(pattern.pieces))
    called = {pattern.pieces[i].name: f"P{n}" for n, i in enumerate(order, start=1)}
    maps: dict[str, FloatArray] = {}
    pieces = []
    for i in order:
        piece = pattern.pieces[i]
        angle, flip = rng.uniform(0.0, 2 * np.pi), rng.choice([-1.0, 1.0])
        c, s = np.cos(angle), np.sin(angle)
        matrix = np.array([[c * flip, -s, 0.0], [s * flip, c, 0.0]])
        maps[piece.name] = matrix
        shapes = tuple(_nameless(transform(_plain(shape), matrix)) for shape in piece.shapes)
        pieces.append(
            align_sizes(
                Piece(name=called[piece.name], shapes=shapes, quantity=piece.quantity),
                pattern.base_size,
            )
        )

    def moved(run: TrueRun) -> TrueRun:
        def at(point: tuple[float, float]) -> tuple[float, float]:
            x, y = maps[run.piece] @ np.array([*point, 1.0])
            return float(x), float(y)

        via = None if run.via is None else at(run.via)
        return TrueRun(called[run.piece], at(run.start), at(run.end), via)

    seams = [TrueSeam(t.name, tuple(map(moved, t.a)), tuple(map(moved, t.b)), t.cap) for t in truth]
    plain = pattern.but(name=name, pieces=tuple(pieces), seams=(), notes=())
    return name, plain, seams


def through_file(garment: Garment, path: Path) -> Garment:
    """The garment as it comes back from a file of the path's suffix; true places carried along by
    the shift of each piece's box."""
    name, pattern, truth = garment
    seamwright.write(pattern, path, read_back=False, overwrite=True)
    found = seamwright.load(path).pattern
    theirs = dict(zip([p.name for p in found.pieces], found.pieces, strict=True))
    shift: dict[str, FloatArray] = {}
    for piece in pattern.pieces:
        own = piece.in_size(pattern.base_size).seam_line
        other = theirs[piece.name].in_size(found.base_size).seam_line
        shift[piece.name] = np.array(other.bbox[:2]) - np.array(own.bbox[:2])

    def moved(run: TrueRun) -> TrueRun:
        dx, dy = shift[run.piece]
        via = None if run.via is None else (run.via[0] + dx, run.via[1] + dy)
        return TrueRun(
            run.piece,
            (run.start[0] + dx, run.start[1] + dy),
            (run.end[0] + dx, run.end[1] + dy),
            via,
        )

    seams = [TrueSeam(t.name, tuple(map(moved, t.a)), tuple(map(moved, t.b)), t.cap) for t in truth]
    return name, found.but(name=name), seams


def only_base(garment: Garment) -> Garment:
    """The garment in its base size alone."""
    name, pattern, truth = garment
    pieces = tuple(
        p.but(shapes=tuple(s for s in p.shapes if s.size == pattern.base_size))
        for p in pattern.pieces
    )
    return name, pattern.but(pieces=pieces, sizes=(pattern.base_size,)), truth


def _plain(shape: Shape) -> Shape:
    return shape.but(texts=(), foreign=(), flags=())


def _nameless(shape: Shape) -> Shape:
    return shape.but(
        corners=tuple(replace(c, name=f"corner-{i}") for i, c in enumerate(shape.corners, 1)),
        notches=tuple(replace(n, name=f"notch-{i}") for i, n in enumerate(shape.notches, 1)),
        internal_lines=tuple(replace(line, name="") for line in shape.internal_lines),
        darts=tuple(replace(d, name=f"dart-{i}") for i, d in enumerate(shape.darts, 1)),
    )

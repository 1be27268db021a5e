"""Proposing seams: how fast, and how sure it may be said.

    python benchmarks/bench_plan.py               30 pieces in 20 sizes, 100 pieces in 6 sizes
    python benchmarks/bench_plan.py --calibrate   weights of the logistic function, and a table
                                                  of promised against found shares

Goals: the first under 1 s, the second under 5 s.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "plan" / "proposal"))

from disguise import disguised, only_base
from garments.tuning import tuning_garments, variants
from truth import Garment, TrueRun, TrueSeam, _resolved, _Sides

from seamwright.geometry import FloatArray
from seamwright.model import Pattern, Piece, Shape
from seamwright.model.edit import transform
from seamwright.plan.proposal import propose_seams
from seamwright.plan.proposal.confidence import NAMES, WEIGHTS, figures, margins, share_right
from seamwright.plan.proposal.emit import pieces_of
from seamwright.plan.proposal.engine import weigh
from seamwright.plan.proposal.junctions import ends
from seamwright.plan.proposal.shaping import run_of


def mixed(parts: Sequence[Garment], scales: Sequence[float]) -> Garment:
    """Pieces of several garments as one, each garment at its own scale."""
    pieces, seams = [], []
    for n, ((_, pattern, truth), scale) in enumerate(zip(parts, scales, strict=True)):
        matrix = [[scale, 0.0, 0.0], [0.0, scale, 0.0]]
        for piece in pattern.pieces:
            shapes = tuple(transform(shape, matrix) for shape in piece.shapes)
            pieces.append(Piece(name=f"{piece.name} {n}", shapes=shapes, quantity=piece.quantity))

        def run(one: TrueRun, n: int = n, scale: float = scale) -> TrueRun:
            def at(p: tuple[float, float]) -> tuple[float, float]:
                return p[0] * scale, p[1] * scale

            return TrueRun(
                f"{one.piece} {n}", at(one.start), at(one.end), at(one.via) if one.via else None
            )

        seams += [
            TrueSeam(t.name, tuple(map(run, t.a)), tuple(map(run, t.b)), t.cap) for t in truth
        ]
    first = parts[0][1]
    return "mixed", first.but(pieces=tuple(pieces), seams=()), seams


def more_sizes(pattern: Pattern, count: int) -> Pattern:
    """The pattern in `count` sizes: the two nearest of its own mixed in between."""
    names = tuple(f"s{k}" for k in range(count))
    old = len(pattern.sizes)
    pieces = []
    for piece in pattern.pieces:
        shapes: list[Shape] = []
        for k, size in enumerate(names):
            x = k * (old - 1) / (count - 1)
            low = min(int(x), old - 2)
            share = x - low
            a, b = piece.shapes[low], piece.shapes[low + 1]
            segments = (1 - share) * a.seam_line.segments + share * b.seam_line.segments
            line = type(a.seam_line).from_segments(segments, a.seam_line.kinds, closed=True)
            shapes.append(a.but(size=size, seam_line=line))
        pieces.append(piece.but(shapes=tuple(shapes)))
    return pattern.but(pieces=tuple(pieces), sizes=names, base_size=names[count // 2])


def without(garment: Garment, gone: set[str]) -> Garment:
    """The garment less some pieces and their seams."""
    name, pattern, truth = garment
    kept = [t for t in truth if not any(r.piece in gone for r in (*t.a, *t.b))]
    return name, pattern.but(pieces=tuple(p for p in pattern.pieces if p.name not in gone)), kept


def in_sizes(garment: Garment, sizes: Sequence[str]) -> Garment:
    """The garment in some of its sizes."""
    name, pattern, truth = garment
    pieces = tuple(
        p.but(shapes=tuple(s for s in p.shapes if s.size in sizes)) for p in pattern.pieces
    )
    return name, pattern.but(pieces=pieces, sizes=tuple(sizes)), truth


def drawn_otherwise(garment: Garment, k: int) -> Garment:
    """The garment as somebody else might have drawn it."""
    way = (k // 2) % 4
    if way == 0:
        return variants.off(garment, 0.5, k)
    if way == 1:
        return variants.off(variants.fewer_notches(garment, 0.6, k), 1.0, k)
    if way == 2:
        return variants.whole(variants.off(garment, 0.4, k))
    return variants.untold(variants.off(garment, 0.3, k))


def cases(rounds: int) -> Iterator[Garment]:
    """The tuning garments in many disguises."""
    rng = np.random.default_rng(20)
    all_of_them = tuning_garments.garments()
    for k in range(rounds):
        for garment in all_of_them:
            one = garment
            if k % 2 == 1:
                one = drawn_otherwise(garment, k)
            elif k % 3 == 1:
                names = [p.name for p in one[1].pieces]
                one = without(one, {str(rng.choice(names))})
            elif k % 3 == 2:
                other = all_of_them[int(rng.integers(len(all_of_them)))]
                one = mixed([one, other], [1.0, float(rng.uniform(0.93, 1.07))])
                names = [p.name for p in one[1].pieces]
                one = without(one, set(map(str, rng.choice(names, 2, replace=False))))
            sizes = one[1].sizes
            if k % 5 in (1, 3):
                one = only_base(one)
            elif k % 5 == 4:
                one = in_sizes(one, sizes[2:4])
            yield disguised(one, 1000 + k)


def calibrate(rounds: int) -> None:
    """Fits the weights and prints them with what they promise."""
    rows, right = [], []
    for _, pattern, truth in cases(rounds):
        w = weigh(pattern)
        sides = _Sides(pattern, truth)
        at_ends, gaps = ends(w.found, w.chosen, w.own), margins(w.found, w.chosen)
        for c in w.chosen:
            one = w.found[c]
            rows.append(figures(one, at_ends[c], gaps[c], len(pattern.sizes)))
            good = True
            for member in one.also or [c]:
                for part in pieces_of(w.found[member], w.own):
                    sew, to = (
                        _resolved(pattern, run_of(side, w.own)) for side in (part.sew, part.to)
                    )
                    good = good and sides.judged(sew, to)[0]
            right.append(good)
    x, y = np.array(rows), np.array(right, dtype=float)
    # Folds by rows in turn: the table is made with weights that did not see the rows.
    shares = np.zeros(len(y))
    fold = (np.arange(len(y)) // 7) % 5
    for k in range(5):
        shares[fold == k] = share_right(x[fold == k], _fitted(x[fold != k], y[fold != k]))
    weights = _fitted(x, y)
    print(f"{len(y)} seams chosen, {y.mean():.1%} right")
    for name, value, old in zip(NAMES, weights, WEIGHTS, strict=True):
        print(f"  {name:12} {value:7.3f}   (was {old:.3f})")
    print("WEIGHTS = (" + ", ".join(f"{v:.3f}" for v in weights) + ")")
    print("promised        seams   right")
    edges = [0.0, 0.3, 0.5, 0.7, 0.9, 0.97, 1.001]
    for low, high in pairwise(edges):
        there = (shares >= low) & (shares < high)
        if there.any():
            print(f"{low:.2f} to {min(high, 1.0):.2f}  {there.sum():6d}   {y[there].mean():.1%}")


def _fitted(x: FloatArray, y: FloatArray) -> FloatArray:
    """Logistic regression with a small ridge towards nothing."""

    def loss(w: FloatArray) -> float:
        z = x @ w
        return float(np.logaddexp(0.0, z).sum() - y @ z + 0.5 * (w[1:] ** 2).sum())

    # What can only speak for a seam gets no weight against it, and the other way round.
    signs = dict.fromkeys(("score", "ends", "weaker end", "margin", "growth", "met"), 1)
    signs |= dict.fromkeys(("one size", "unmet", "part", "gathers", "short", "apart"), -1)
    bounds = [
        (0.0 if signs.get(n) == 1 else None, 0.0 if signs.get(n) == -1 else None) for n in NAMES
    ]
    start = np.zeros(x.shape[1])
    return np.asarray(minimize(loss, start, method="L-BFGS-B", bounds=bounds).x)


def speed() -> None:
    """Times both goals, best of three."""
    all_of_them = tuning_garments.garments()
    thirty = mixed([*all_of_them, all_of_them[3]], [1.0, 1.01, 0.99, 1.02, 0.98, 1.07, 0.93])
    pattern = thirty[1].but(pieces=thirty[1].pieces[:30])
    hundred = mixed(all_of_them * 5, np.linspace(0.8, 1.25, 30).tolist())[1]
    hundred = hundred.but(pieces=hundred.pieces[:100])
    for told, one, goal in (
        ("30 pieces, 20 sizes", more_sizes(pattern, 20), 1.0),
        (f"{len(hundred.pieces)} pieces, {len(hundred.sizes)} sizes", hundred, 5.0),
    ):
        times: list[float] = []
        work: list[float] = []
        for _ in range(3):
            again = one.map_shapes(lambda _, s: s.but(texts=()))  # nothing remembered
            start, spent = time.perf_counter(), time.process_time()
            found = propose_seams(again)
            times.append(time.perf_counter() - start)
            work.append(time.process_time() - spent)
        print(
            f"{told}: {min(times):.2f} s ({min(work):.2f} s of work; goal {goal} s), "
            f"{len(found.seams)} seams"
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--calibrate", action="store_true")
    parser.add_argument("--rounds", type=int, default=24)
    given = parser.parse_args()
    if given.calibrate:
        calibrate(given.rounds)
    else:
        speed()

"""Proposing seams: from a pattern to a proposal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.model.seam import Run, RunPart, Seam

from ..apply import apply_plan
from ..grammar import parse_mark, written_mark
from ..kinds import SeamPlan
from ..places import places
from .candidates import candidates
from .confidence import EITHER, Rivals, either_way, figures, level_of, margins, share_right
from .emit import Piecewise, pieces_of, seam_of, with_cap_sides
from .free import free_edges
from .junctions import ends, fits
from .kept import kept_atoms, settled
from .kinds import Level, Proposal, ProposedSeam
from .matching import Candidate, choose
from .naming import names_of, renaming
from .reasons import reasons, seam_name
from .shaping import run_of
from .sides import Outline, Sides, Step, outlines, plain_sides

ROUNDS = 2
STARTS = (0.0, 2.0)
MANY = 24  # pieces, above which one start must do


@dataclass(slots=True, eq=False)
class Weighed:
    """Everything that was weighed, and which candidates were chosen."""

    own: list[Outline]
    sides: Sides | None
    found: list[Candidate]
    chosen: list[int]
    kept: set[int]
    used: frozenset[int] = frozenset()
    fit: FloatArray | None = None


def weigh(pattern: Pattern, keep: Sequence[Seam] = ()) -> Weighed:
    """Candidates of a pattern, and the best set of them. keep: seams that stand; candidates that
    say the same are in `kept`."""
    where = places(pattern)
    own = outlines(pattern, where)
    if not own:
        return Weighed(own, None, [], [], set())
    sides = plain_sides(own)
    found = candidates(own, sides, where.base)
    standing = kept_atoms(pattern, keep, own)
    bonus, kept = settled(found, standing) if keep else ([], set[int]())
    used = frozenset(a for pair in standing for side in pair for a in side)
    scores = np.array([one.score for one in found])
    if bonus:
        scores = scores + np.array(bonus)
    best: tuple[float, list[int]] = (-np.inf, [])
    # The choice is weighed anew by what was chosen round it; begun also from the strongest alone,
    # because a wrong seam that was chosen first can hold its wrong neighbours up.
    for handicap in STARTS if len(own) <= MANY else STARTS[:1]:
        chosen = choose(found, own, scores - handicap)
        for _ in range(ROUNDS):
            more = fits(found, chosen, own)
            again = choose(found, own, scores + more)
            if again == chosen:
                break
            chosen = again
        more = fits(found, chosen, own)
        value = float((scores + more)[chosen].sum())
        if value > best[0]:
            best = value, chosen
    chosen = best[1]
    more = fits(found, chosen, own)
    return Weighed(own, sides, found, chosen, kept, used, more)


def propose_seams(
    pattern: Pattern, *, keep: Sequence[Seam] = (), taken: Sequence[str] = ()
) -> Proposal:
    """The seams that the pattern's shapes speak for, each with how sure it is and why.

    Sees lengths in every size, notches, ends and curvature; no name is needed. Seams come in the
    order of their sureness; the marks in them have the names that `names` gives them where a plan
    with these names is laid on the pattern. keep: seams of the pattern that a person confirmed;
    they are not proposed again, nothing is sewn to their edges, and what they explain counts.
    taken: names that no proposed seam may have.
    """
    w = weigh(pattern, keep)
    if not w.chosen:
        free = free_edges(w.own, [], None, w.used)
        return Proposal(seams=(), free=free, names=names_of([], w.own))
    at_ends = ends(w.found, w.chosen, w.own)
    gaps = margins(w.found, w.chosen)
    rows = np.array(
        [figures(w.found[c], at_ends[c], gaps[c], len(pattern.sizes)) for c in w.chosen]
    )
    shares = share_right(rows)
    assert w.fit is not None, "what was chosen has been weighed"
    doubtful = either_way(w.found, w.chosen, w.fit)
    shares = np.where([c in doubtful for c in w.chosen], np.minimum(shares, EITHER), shares)
    parts: list[tuple[Piecewise, int, float]] = []
    for c, share in zip(w.chosen, shares.tolist(), strict=True):
        for part in w.found[c].also or [c]:
            parts += [(p, part, share) for p in pieces_of(w.found[part], w.own)]
    halves = with_cap_sides([p for p, *_ in parts], w.own)
    parts = [(half, c, share) for half, (_, c, share) in zip(halves, parts, strict=True)]
    names = names_of([(p, p.kind) for p, *_ in parts], w.own)
    mark = renaming(names, w.own)
    used = {*taken, *(seam.name for seam in keep)}
    rivals = Rivals(w.found)
    out = []
    order = sorted(range(len(parts)), key=lambda k: -round(parts[k][2], 3))
    for k in order:
        half, c, share = parts[k]
        if c in w.kept:
            continue
        one = w.found[c]
        plain = seam_of(half, "x", w.own, _ease(one, w))
        seam = renamed(plain, mark)
        seam = replace(seam, name=seam_name(seam, half.kind, used))
        chosen = next(m for m in w.chosen if m == c or c in w.found[m].also)
        out.append(
            ProposedSeam(
                seam=seam,
                level=level_of(share),
                confidence=share,
                why=reasons(
                    one, at_ends[chosen], len(pattern.sizes), half.note, chosen in doubtful
                ),
                rivals=tuple(
                    f"{_told(run_of(w.found[r].sew, w.own), mark)} = "
                    f"{_told(run_of(w.found[r].to, w.own), mark)}"
                    for r in rivals.of(c)
                ),
                kind=half.kind,
            )
        )
    sewn = [p for p, *_ in parts]
    return Proposal(seams=tuple(out), free=free_edges(w.own, sewn, mark, w.used), names=names)


def _ease(one: Candidate, w: Weighed) -> tuple[float, float]:
    """Least and greatest ease over the sizes."""

    def long(side: tuple[Step, ...]) -> FloatArray:
        total: FloatArray = sum(  # type: ignore[assignment]
            w.own[s.piece].gap(i, j) for s in side for i, j in s.spans
        )
        return total

    d = long(one.sew) - long(one.to)
    return float(np.nanmin(d)), float(np.nanmax(d))


def renamed(seam: Seam, mark: dict[tuple[str, str], str]) -> Seam:
    """The seam with the plan's names of marks."""

    def run(one: Run) -> Run:
        return Run(
            parts=tuple(
                RunPart(piece=p.piece, marks=tuple(mark.get((p.piece, m), m) for m in p.marks))
                for p in one.parts
            )
        )

    def pair(text: str, side: Run) -> str:
        found = parse_mark(text)
        piece = found.piece or side.parts[0].piece
        return written_mark(mark.get((piece, found.name), found.name), piece=found.piece)

    meet = tuple((pair(a, seam.sew), pair(b, seam.to)) for a, b in seam.meet)
    return replace(seam, sew=run(seam.sew), to=run(seam.to), meet=meet)


def _told(run: Run, mark: dict[tuple[str, str], str]) -> str:
    parts = (
        f"{p.piece}: " + " > ".join(mark.get((p.piece, m), m) for m in p.marks) for p in run.parts
    )
    return " + ".join(parts)


def sure_seams(pattern: Pattern) -> tuple[Proposal, Pattern]:
    """The proposal, and the pattern with its names and its sure seams laid on."""
    proposal = propose_seams(pattern)
    plan = SeamPlan(pieces=proposal.names, seams=proposal.at_least(Level.SURE))
    return proposal, apply_plan(pattern, plan)[0]

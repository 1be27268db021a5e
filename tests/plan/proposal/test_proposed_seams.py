"""Seams proposed for the garments that tuned the proposal: what it was fitted to, it must do.
(The judgement stands in `judging`, on garments of another hand.)"""

from __future__ import annotations

from pathlib import Path

import pytest
from disguise import disguised, only_base, through_file
from garments.tuning import tuning_garments
from truth import Garment, Score, score

from seamwright.plan import SeamPlan, apply_plan, has_cap, walk
from seamwright.plan.cap import cap_of
from seamwright.plan.proposal import Level, Proposal, propose_seams, sure_seams

GARMENTS = tuning_garments.garments()


def judged(garment: Garment) -> Score:
    _, pattern, truth = garment
    found = propose_seams(pattern)
    seams = tuple(one.seam for one in found.seams)
    named, _ = apply_plan(pattern, SeamPlan(pieces=found.names, seams=seams))
    return score(named, truth, [(one.seam, str(one.level)) for one in found.seams])


@pytest.mark.parametrize("sizes", ["six sizes", "one size"])
def test_hardly_a_sure_seam_is_wrong_and_most_seams_are_found(sizes: str) -> None:
    total = Score()
    for k, garment in enumerate(GARMENTS):
        hidden = disguised(garment, 40 + k)
        total += judged(only_base(hidden) if sizes == "one size" else hidden)
    precision, recall = (0.98, 0.90) if sizes == "six sizes" else (0.95, 0.75)
    assert total.precision >= precision, total.wrong
    assert total.recall >= recall, total.missed
    if sizes == "six sizes":
        assert total.caps_marked == total.caps == 6


@pytest.mark.parametrize("suffix", [".svg", ".dxf"])
def test_files_tell_as_much(suffix: str, tmp_path: Path) -> None:
    total = Score()
    for k, garment in enumerate(GARMENTS):
        total += judged(through_file(disguised(garment, 60 + k), tmp_path / f"g{suffix}"))
    assert total.precision >= 0.98, total.wrong
    assert total.recall >= 0.90, total.missed


def told(found: Proposal) -> list[tuple[str, str, float]]:
    return [(str(p.seam.sew), str(p.seam.to), round(p.confidence, 6)) for p in found.seams]


def test_the_same_pattern_gets_the_same_proposal() -> None:
    for garment in GARMENTS:
        assert told(propose_seams(garment[1])) == told(propose_seams(garment[1]))


def test_the_sure_seams_of_a_blouse_walk_and_mark_its_cap() -> None:
    proposal, pattern = sure_seams(disguised(GARMENTS[0], 3)[1])
    assert has_cap(pattern)
    cap = cap_of(pattern)
    assert (cap.underarm_front, cap.underarm_back) == ("underarm-front", "underarm-back")
    found = walk(pattern)
    assert found.findings == ()
    plain = [s for s, seam in enumerate(found.seams) if seam.cap is None]
    assert abs(found.ease[plain]).max() < 0.1
    assert {one.level for one in proposal.seams} <= set(Level)


def test_seams_that_stand_are_left_alone_and_not_proposed_again() -> None:
    _, pattern, _ = disguised(GARMENTS[0], 5)
    whole = propose_seams(pattern)
    named, _ = apply_plan(pattern, SeamPlan(pieces=whole.names, seams=(whole.seams[0].seam,)))
    rest = propose_seams(named, keep=named.seams)
    assert len(rest.seams) == len(whole.seams) - 1
    assert {str(one.seam.sew) for one in rest.seams} == {
        str(one.seam.sew) for one in whole.seams[1:]
    }


def test_what_is_not_sewn_is_said() -> None:
    found = propose_seams(GARMENTS[0][1])
    free = {(edge.piece, edge.why) for edge in found.free}
    assert ("Back", "fold") in free
    assert ("Front", "free") in free
    # A neckline without a collar is a riddle.
    _, pattern, _ = GARMENTS[0]
    fewer = pattern.but(pieces=tuple(p for p in pattern.pieces if p.name != "Sleeve"))
    riddles = {str(e.edge) for e in propose_seams(fewer).free if e.why == "unexplained"}
    assert any(text.startswith("Front: underarm") for text in riddles), riddles

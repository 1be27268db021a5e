"""The garments that judge are garments: outlines that do not cross, sides that can be sewn.

How well the proposal does on them is printed by benchmarks/judge_plan.py.
"""

from __future__ import annotations

import pytest
from judging.judging_garments import garments
from truth import Garment, score

GARMENTS = garments()


@pytest.mark.parametrize("garment", GARMENTS, ids=[g[0] for g in GARMENTS])
def test_outlines_are_simple_and_true_seams_lie_on_them(garment: Garment) -> None:
    _, pattern, truth = garment
    for piece in pattern.pieces:
        for shape in piece.shapes:
            assert not len(shape.seam_line.self_intersections().own), (piece.name, shape.size)
    # A true run that lies off its outline raises.
    assert score(pattern, truth, []).true == len(truth)

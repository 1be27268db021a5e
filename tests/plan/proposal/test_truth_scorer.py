"""The scorer itself: on the drafted blouse, whose seams its plan tells."""

from __future__ import annotations

from pathlib import Path

import pytest
from disguise import disguised, only_base, through_file
from truth import Garment, TrueRun, TrueSeam, score

from seamwright.demo.blouse import blouse
from seamwright.model import Run, RunPart, Seam


def garment() -> Garment:
    pattern = blouse(["C", "D", "E"])
    shapes = {p.name: p.in_size(pattern.base_size) for p in pattern.pieces}

    def place(piece: str, mark: str) -> tuple[float, float]:
        shape = shapes[piece]
        named = {n.name: n.station for n in shape.notches} | {
            c.name: c.station for c in shape.corners
        }
        x, y = shape.seam_line.point_of(named[mark])
        return float(x), float(y)

    def run(piece: str, start: str, end: str) -> TrueRun:
        return TrueRun(piece, place(piece, start), place(piece, end))

    return (
        "blouse",
        pattern,
        [
            TrueSeam(
                "side",
                (run("Back", "underarm", "hem-side"),),
                (run("Front", "underarm", "hem-side"),),
            ),
            TrueSeam(
                "back cap",
                (run("Sleeve", "underarm-back", "shoulder"),),
                (run("Back", "underarm", "shoulder"),),
                "back",
            ),
        ],
    )


def seam(sew: tuple[str, str, str], to: tuple[str, str, str], cap: str | None = None) -> Seam:
    one, other = (Run(parts=(RunPart(piece=p, marks=(a, b)),)) for p, a, b in (sew, to))
    return Seam(name="x", sew=one, to=other, cap=cap)  # type: ignore[arg-type]


def test_a_right_proposal_counts_and_a_wrong_one_does_not() -> None:
    _, pattern, truth = garment()
    side = seam(("Front", "underarm", "hem-side"), ("Back", "underarm", "hem-side"))
    cap = seam(("Sleeve", "underarm-back", "shoulder"), ("Back", "underarm", "shoulder"), "back")
    got = score(pattern, truth, [(side, "sure"), (cap, "likely")])
    assert (got.sure, got.sure_right, got.likely_right, got.found) == (1, 1, 1, 2)
    assert (got.exact, got.caps_marked) == (2, 1)
    turned = seam(("Front", "underarm", "hem-side"), ("Back", "hem-side", "underarm"))
    other = seam(("Front", "underarm", "hem-side"), ("Back", "nape", "hem-centre"))
    got = score(pattern, truth, [(turned, "sure"), (other, "sure"), (cap, "unsure")])
    assert (got.sure, got.sure_right, got.found) == (2, 0, 0)
    assert len(got.wrong) == len(got.missed) == 2


def test_a_seam_in_two_parts_is_found_and_half_of_it_is_not() -> None:
    _, pattern, truth = garment()
    halves = [
        seam(("Front", "underarm", "waist"), ("Back", "underarm", "waist")),
        seam(("Front", "waist", "hem-side"), ("Back", "waist", "hem-side")),
    ]
    assert score(pattern, truth, [(h, "sure") for h in halves]).found == 1
    got = score(pattern, truth, [(halves[0], "sure")])
    assert (got.sure_right, got.found, got.exact) == (1, 0, 0)


@pytest.mark.parametrize("suffix", [".svg", ".dxf"])
def test_the_truth_follows_a_disguise_and_a_file(suffix: str, tmp_path: Path) -> None:
    _name, pattern, truth = through_file(
        disguised(only_base(garment()), 7), tmp_path / f"x{suffix}"
    )
    side = truth[0]
    marks = []
    for (run,) in (side.a, side.b):
        shape = pattern.piece(run.piece).in_size(pattern.base_size)
        ends = []
        for point in (run.start, run.end):
            apart = {
                c.name: abs(shape.seam_line.point_of(c.station) - point).max()
                for c in shape.corners
            }
            ends.append(min(apart, key=apart.__getitem__))
            assert min(apart.values()) < 0.1
        marks.append((run.piece, *ends))
    got = score(pattern, truth, [(seam(*marks), "sure")])  # type: ignore[arg-type]
    assert (got.sure_right, got.found) == (1, 1)

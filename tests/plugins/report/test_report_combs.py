"""Curvature combs that a step gives stand in the page's pictures, and nothing else of theirs."""

from __future__ import annotations

import re
from typing import Any

import pytest

from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, build_shape
from seamwright.plugins.api import Context, Record, StepRecord
from seamwright.plugins.building import build
from seamwright.plugins.registry import Registry
from seamwright_report.combs import combs_of


def _record(combs: Any) -> Record:
    circle = Curve.circle((0.0, 0.0), 60.0)
    piece = Piece(name="Front", shapes=(build_shape(size="M", outline=circle, corners=[]),))
    pattern = Pattern(name="p", pieces=(piece,), sizes=("M",), base_size="M")
    step = StepRecord(
        use="any/step", kind="check", options={}, looked_at=1, figures={"combs": combs, "n": 3}
    )
    return Record(before=pattern, after=pattern, steps=(step,), snapshots=(pattern,))


def _page(record: Record) -> str:
    report = Registry.discover().reports.find("html").thing
    made = report.run(record, build(report.options, {}), Context())
    return bytes(made.parts[0].data).decode()


TOOTH = [[0.0, 60.0], [0.0, 80.25]]


def test_teeth_are_drawn_over_their_piece_with_y_turned_down() -> None:
    rows = [
        {"piece": "Front", "size": "M", "when": "before", "lines": [TOOTH]},
        {"piece": "Front", "size": "M", "when": "after", "lines": [TOOTH, [[1, 2], [3, 4.5]]]},
    ]
    page = _page(_record(rows))
    (before,) = re.findall(r'<path d="([^"]*)" class="comb comb-before"', page)
    (after,) = re.findall(r'<path d="([^"]*)" class="comb comb-after"', page)
    assert before == "m0-6000l0-2025"  # hundredths of a millimetre, each less the one before
    assert after == before + "m100 7825l200-250"
    assert "Fine teeth" in page
    # The drawing reaches as far as the teeth; the list of figures does not hold them.
    boxes = [[float(v) for v in box.split()] for box in re.findall(r'viewBox="([^"]*)"', page)]
    assert any(y < -8025 for _, y, _, _ in boxes)
    assert not re.search(r"<h4[^>]*>[^<]*[Cc]ombs", page)


@pytest.mark.parametrize(
    "combs",
    [None, 3, "x", [3], [{}], [{"piece": "Front", "size": "M", "lines": [[[0, "a"], [1, None]]]}],
     [{"piece": "Front", "size": "M", "lines": [[[float("nan"), 1.0], [2.0, 3.0]]]}]],
)  # fmt: skip
def test_whatever_is_no_comb_is_passed_over(combs: Any) -> None:
    record = _record(combs)
    assert combs_of(record) == {}
    page = _page(record)
    assert 'class="comb' not in page
    assert "Fine teeth" not in page

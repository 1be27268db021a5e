"""The close view of the cap shows a sleeve as a person folds it, however it lies in its drawing."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.model.edit import transform
from seamwright.plugins.api import Record
from seamwright_report.cap import caps_of
from seamwright_report.capshow import cap_pictures
from seamwright_report.facts import facts_of
from seamwright_report.folds import folds_of
from seamwright_report.say import Say

WAYS = [(0, False), (30, False), (90, False), (180, False), (-75, True), (140, True)]


def laid(pattern: Pattern, matrix: Sequence[Sequence[float]]) -> Pattern:
    """Every piece under one matrix."""
    pieces = [
        piece.but(shapes=tuple(transform(shape, np.array(matrix)) for shape in piece.shapes))
        for piece in pattern.pieces
    ]
    return pattern.with_pieces(pieces)


def points(text: str) -> FloatArray:
    return np.array([[float(x) for x in pair.split(",")] for pair in text.split()])


@pytest.mark.parametrize(("degrees", "mirrored"), WAYS)
def test_tucks_point_down_into_the_cap(eased_run: Record, degrees: float, mirrored: bool) -> None:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    f = -1.0 if mirrored else 1.0
    matrix = [[f * c, -s, 900.0], [f * s, c, -400.0]]
    run = replace(
        eased_run, before=laid(eased_run.before, matrix), after=laid(eased_run.after, matrix)
    )
    facts = facts_of(run)
    (picture,) = cap_pictures(
        facts, folds_of(run), (caps_of(run.before), caps_of(run.after)), Say("mm")
    )
    drawn = str(picture)
    wedges = [points(m) for m in re.findall(r'points="([^"]+)"', drawn)]
    assert wedges
    for left, apex, right in wedges:
        assert apex[1] > max(left[1], right[1])  # y runs down on the page
    bicep = re.search(r'<line[^>]*class="bicep"[^>]*>', drawn)
    assert bicep is not None
    ends = dict(re.findall(r'([xy][12])="([^"]+)"', bicep[0]))
    assert float(ends["y1"]) == pytest.approx(float(ends["y2"]), abs=0.02)

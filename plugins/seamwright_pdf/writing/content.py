"""The content of a page: units of the sheet in their layers, moved and clipped to the window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.numbers import fixed

from .arrange import Plan, Window
from .finish import PAGE_KEY, SHARED_KEY, kind_key, size_key
from .frames import window_shift
from .operators import ALONG
from .units import SHARED, Unit


def page_content(
    plan: Plan, page: Window, units: Sequence[Unit], boxes: FloatArray, furniture: str
) -> str:
    """Operators of one page. boxes: those of the units, (N, 4)."""
    x0, y0, x1, y1 = page.box
    seen = (boxes[:, 0] < x1) & (boxes[:, 2] > x0) & (boxes[:, 1] < y1) & (boxes[:, 3] > y0)
    tx, ty = window_shift(plan, page)
    edge = fixed(plan.margin * ALONG)
    wide, high = fixed((x1 - x0) * ALONG), fixed((y1 - y0) * ALONG)
    out = [
        f"q {edge} {edge} {wide} {high} re W n",
        f"1 0 0 1 {fixed(tx)} {fixed(ty)} cm 1 J 1 j",
        *in_layers([units[i] for i in np.flatnonzero(seen).tolist()]),
    ]
    if furniture:
        out.append(f"/OC /{PAGE_KEY} BDC /Artifact BMC\n{furniture}\nEMC EMC")
    return "\n".join([*out, "Q"])


def in_layers(units: Sequence[Unit]) -> Iterator[str]:
    """Units under their size, piece and kind: marked content as writer and reader agreed."""
    by_size = sorted(units, key=lambda u: (u.size == SHARED, u.size, u.piece, u.head == ""))
    for size, of_size in groupby(by_size, key=lambda u: u.size):
        if size == SHARED:
            yield f"/OC /{SHARED_KEY} BDC"
            yield from (u.code for u in of_size)
            yield "EMC"
            continue
        yield f"/OC /{size_key(size)} BDC"
        for (_, head), of_piece in groupby(of_size, key=lambda u: (u.piece, u.head)):
            if head:
                yield f"/Piece <<{head}>> BDC"
            for kind, of_kind in groupby(of_piece, key=lambda u: u.kind):
                yield f"/OC /{kind_key(size, kind)} BDC"
                yield from (u.code for u in of_kind)
                yield "EMC"
            if head:
                yield "EMC"
        yield "EMC"

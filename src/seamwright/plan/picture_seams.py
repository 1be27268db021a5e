"""Seams in the labelled picture: each in a colour of its own with its number on both sides, free
edges marked as such, and a list of them all below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from seamwright.findings import SeamwrightError
from seamwright.geometry import Curve
from seamwright.model import Pattern
from seamwright.model.seam import Run, Seam

from .apply import apply_plan
from .cap import part_curve
from .kinds import SeamPlan
from .proposal import Proposal
from .runs import resolve_run

# Tints that stay apart on pale paper, the surest first; they repeat after the last.
_COLOURS = ("#c2410c", "#0f766e", "#7e22ce", "#1d4ed8", "#a16207", "#be185d", "#4d7c0f", "#0369a1",
            "#7f1d1d", "#5b21b6", "#166534", "#9a3412")  # fmt: skip
_DASHES = {"sure": "", "likely": "9 4", "unsure": "2 4", "kept": ""}

SEAM_STYLE = """
.seam{fill:none;stroke-width:5.5;opacity:.62;stroke-linecap:butt}
.fold{fill:none;stroke:#6b7280;stroke-width:3;stroke-dasharray:12 4 2 4}
.free{fill:none;stroke:#9ca3af;stroke-width:3;stroke-dasharray:1 5;stroke-linecap:round}
.unexplained{fill:none;stroke:#dc2626;stroke-width:3;stroke-dasharray:1 5;stroke-linecap:round}
.number{font-weight:bold;font-size:13px}
.key{font-size:13px;fill:#22333b}
"""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A stretch of a piece to be drawn: its curve (mm), class, colour, dashes, and the number that
    stands beside it ("" for none)."""

    curve: Curve
    kind: str
    colour: str = ""
    dashes: str = ""
    number: str = ""


def strokes(pattern: Pattern, proposal: Proposal) -> dict[str, list[Stroke]]:
    """What is to be drawn on each piece."""
    named, _ = apply_plan(pattern, SeamPlan(pieces=proposal.names))
    out: dict[str, list[Stroke]] = {}
    drawn: set[tuple[str, float, float, str]] = set()

    def add(run: Run, kind: str, colour: str = "", dashes: str = "", number: str = "") -> None:
        try:
            found = resolve_run(named, run)
        except SeamwrightError:
            return
        for part in found.parts:
            shape = named.piece(part.part.piece).in_size(named.base_size)
            z = named.sizes.index(named.base_size)
            ends = sorted((round(float(part.starts[z]), 3), round(float(part.ends[z]), 3)))
            key = (part.part.piece, ends[0], ends[1], number or kind)
            if key in drawn:
                continue
            drawn.add(key)
            try:
                curve = part_curve(shape, part, z)
            except ValueError:
                continue
            out.setdefault(part.part.piece, []).append(Stroke(curve, kind, colour, dashes, number))

    for number, seam, level, _ in listed(pattern, proposal):
        for run in (seam.sew, seam.to):
            add(run, "seam", colour_of(number), _DASHES[level], number)
    for edge in proposal.free:
        add(edge.edge, edge.why)
    return out


def listed(pattern: Pattern, proposal: Proposal) -> list[tuple[str, Seam, str, str]]:
    """Number, seam, level and words of everything that is sewn: what stood first ("k1"), then what
    is proposed."""
    out: list[tuple[str, Seam, str, str]] = []
    for n, seam in enumerate(pattern.seams, start=1):
        out.append((f"k{n}", seam, "kept", "stood in the plan"))
    for n, one in enumerate(proposal.seams, start=1):
        share = min(99, max(1, round(100 * one.confidence)))
        out.append((str(n), one.seam, str(one.level), f"{one.level}, {share} in 100"))
    return out


def colour_of(number: str) -> str:
    """The colour of a seam's number."""
    k = int(number.lstrip("k")) - 1 + 5 * number.startswith("k")
    return _COLOURS[k % len(_COLOURS)]


def legend(
    pattern: Pattern, proposal: Proposal, at: tuple[float, float], wide: float
) -> tuple[str, float]:
    """The list of seams as SVG from the place `at` on, and its height, pixels."""
    rows = listed(pattern, proposal)
    columns = max(1, int(wide // 520))
    each = -(-max(1, len(rows)) // columns)
    x0, y0 = at
    out = []
    for k, (number, seam, level, words) in enumerate(rows):
        x, y = x0 + (k // each) * 520, y0 + (k % each) * 22
        dash = f' stroke-dasharray="{_DASHES[level]}"' if _DASHES[level] else ""
        out.append(
            f'<line x1="{x:.0f}" y1="{y - 4:.0f}" x2="{x + 34:.0f}" y2="{y - 4:.0f}" '
            f'stroke="{colour_of(number)}" stroke-width="5.5" opacity=".62"{dash}/>'
            f'<text class="number" x="{x + 42:.0f}" y="{y:.0f}" fill="{colour_of(number)}">'
            f"{number}</text>"
            f'<text class="key" x="{x + 70:.0f}" y="{y:.0f}">{escape(seam.name)} ({words})</text>'
        )
    y = y0 + each * 22 + 8
    for k, (kind, words) in enumerate(
        (
            ("fold", "on the fold"),
            ("free", "free: hem, opening, or not seen"),
            ("unexplained", "not explained: something seems to be missing here"),
        )
    ):
        x = x0 + k * 330
        out.append(
            f'<line class="{kind}" x1="{x:.0f}" y1="{y - 4:.0f}" x2="{x + 34:.0f}" '
            f'y2="{y - 4:.0f}"/><text class="key" x="{x + 42:.0f}" y="{y:.0f}">{words}</text>'
        )
    return "\n".join(out), each * 22 + 46.0


def sort_for_drawing(rows: Sequence[Stroke]) -> list[Stroke]:
    """Free edges below, seams above."""
    return sorted(rows, key=lambda s: s.kind == "seam")

"""What a step does, shown by running the example on its page on a pattern that it suits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files

from seamwright.demo.blouse import blouse
from seamwright.demo.workbench import workbench
from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.model import LineRole, Pattern, Piece, Shape
from seamwright.model.picture import path_data
from seamwright.numbers import fixed
from seamwright.pipeline import Pipeline
from seamwright.plan import apply_plan, load_plan

_FENCE = re.compile(r"```toml\n(.*?)```", flags=re.DOTALL)
_OUTPUT = re.compile(r'\[\[step\]\]\nuse = "(?:write|report)"\n(?:[^\[].*\n|\n)*')
_GAP = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """An example that was run.

    pattern  what it was run on, in words
    svg      the pieces that changed, before and after laid over each other; "" for a check
    said     findings of the run
    """

    pattern: str
    svg: str
    said: tuple[Finding, ...]


def examples_of(page: str) -> list[str]:
    """The pipelines on a page."""
    return [e for e in _FENCE.findall(page) if "[[step]]" in e]


def show(example: str) -> Shown | None:
    """Runs an example on the first pattern that it suits; None where there is none.

    It suits where the run ends without an error of the step itself; among those, one on which
    something changes is preferred. `write` and `report` are left out: nothing is written.
    """
    best: Shown | None = None
    for pattern in _patterns():
        try:
            after, record = Pipeline.loads(_OUTPUT.sub("", example)).run(pattern)
        except SeamwrightError:
            continue
        first = record.steps[0] if record.steps else None
        if first is None:
            continue
        refused = any(f.severity is Severity.ERROR for f in first.findings)
        if refused and first.kind != "check":
            continue
        svg = _before_and_after(pattern, after) if first.kind != "check" else ""
        shown = Shown(pattern=pattern.name, svg=svg, said=first.findings)
        if svg or (first.kind == "check" and first.looked_at):
            return shown
        best = best or shown
    return best


@cache
def _patterns() -> tuple[Pattern, ...]:
    plan = files("seamwright.demo").joinpath("data", "chorus-blouse.plan.toml").read_bytes()
    draft = blouse([blouse().base_size])
    style, _ = apply_plan(draft, load_plan(plan, "chorus-blouse.plan.toml"))
    return (style, *workbench())


def _before_and_after(before: Pattern, after: Pattern) -> str:
    """The changed pieces side by side: as they were dashed grey, as they are in blue."""
    was = {p.name: p for p in before.pieces}
    is_now = {p.name: p for p in after.pieces}
    drawn: list[tuple[str, list[tuple[Shape, str]]]] = []
    for name in dict.fromkeys([*was, *is_now]):
        a, b = _base(was.get(name), before), _base(is_now.get(name), after)
        if a is b:
            continue
        pair = [(s, c) for s, c in ((a, "was"), (b, "now")) if s is not None]
        drawn.append((name, pair))
    if not drawn:
        return ""
    parts, x, top, low = [], 0.0, 0.0, 0.0
    for name, pair in drawn:
        boxes = [_box(s) for s, _ in pair]
        x0, x1 = min(b[0] for b in boxes), max(b[2] for b in boxes)
        y0, y1 = min(b[1] for b in boxes), max(b[3] for b in boxes)
        inner = "".join(_shape(shape, role) for shape, role in pair)
        label = (
            f'<text class="name" x="{fixed((x0 + x1) / 2, 1)}" y="{fixed(-y1 - 14, 1)}">'
            f"{escape(name)}</text>"
        )
        parts.append(
            f'<g transform="translate({fixed(x - x0, 2)} {fixed(y1, 2)})">{inner}{label}</g>'
        )
        low, top = max(low, y1 - y0), max(top, 40.0)
        x += x1 - x0 + _GAP
    view = f"-20 {fixed(-top, 1)} {fixed(x - _GAP + 40, 1)} {fixed(low + top + 20, 1)}"
    return (
        f'<svg class="shown" xmlns="http://www.w3.org/2000/svg" viewBox="{view}" role="img" '
        f'aria-label="before and after">{"".join(parts)}</svg>'
    )


def _base(piece: Piece | None, pattern: Pattern) -> Shape | None:
    if piece is None:
        return None
    size = pattern.base_size if pattern.base_size in piece.sizes else piece.sizes[0]
    return piece.in_size(size)


def _box(shape: Shape) -> tuple[float, float, float, float]:
    curve = shape.cut_line or shape.seam_line
    x0, y0, x1, y1 = (float(v) for v in curve.bbox)
    return x0, y0, x1, y1


def _shape(shape: Shape, role: str) -> str:
    return "".join(_strokes(shape, role))


def _strokes(shape: Shape, role: str) -> Iterator[str]:
    yield f'<path class="seam {role}" d="{path_data(shape.seam_line, digits=2)}"/>'
    if shape.cut_line is not None:
        yield f'<path class="cut {role}" d="{path_data(shape.cut_line, digits=2)}"/>'
    for line in shape.internal_lines:
        yield f'<path class="inside {role}" d="{path_data(line.curve, digits=2)}"/>'
    for dart in shape.darts:
        a = shape.seam_line.point_of(dart.left)
        b = shape.seam_line.point_of(dart.right)
        places = (a, dart.apex, b)
        d = "M" + "L".join(f"{fixed(float(p[0]), 2)},{fixed(-float(p[1]), 2)}" for p in places)
        yield f'<path class="dart {role}" d="{d}"/>'
    for notch in shape.notches:
        on_cut = notch.line is LineRole.CUT and shape.cut_line is not None
        outline = shape.cut_line if on_cut and shape.cut_line is not None else shape.seam_line
        x, y = (float(v) for v in outline.point_of(notch.station))
        yield f'<circle class="notch {role}" cx="{fixed(x, 2)}" cy="{fixed(-y, 2)}" r="3.5"/>'
    if shape.grain_line is not None:
        (ax, ay), (bx, by) = shape.grain_line.start, shape.grain_line.end
        yield (
            f'<line class="inside {role}" x1="{fixed(ax, 2)}" y1="{fixed(-ay, 2)}" '
            f'x2="{fixed(bx, 2)}" y2="{fixed(-by, 2)}"/>'
        )

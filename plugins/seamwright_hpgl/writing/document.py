"""A pattern as an HP-GL plot."""

from __future__ import annotations

from typing import Any

import numpy as np

from seamwright.geometry import FloatArray
from seamwright.model import Pattern
from seamwright.plugins.api import (
    Context,
    Finding,
    Part,
    SeamwrightError,
    Severity,
    WriteResult,
    did_you_mean,
)

from ..devices import DEVICES, Device
from ..options import HpglOut
from .commands import Plotter
from .job import Placed, laid_out, pieces_of
from .order import ordered, travel_of

_ROUNDING = 0.7072  # of a unit: both coordinates half a unit off


def write(pattern: Pattern, options: HpglOut, context: Context) -> WriteResult:
    """The plot. Raises SeamwrightError: hpgl.too-wide, hpgl.too-long, hpgl.out-of-range,
    hpgl.nothing, sizes.unknown."""
    _known_sizes(pattern, options)
    pieces = laid_out(pieces_of(pattern, options), options)
    if not pieces:
        raise SeamwrightError.of(
            "hpgl.nothing",
            "there is nothing to plot",
            hint="give pieces a shape, and at least one kind of line a pen",
        )
    device = DEVICES[options.device]
    unit = float(options.unit or device.unit)
    frames = _frames(pieces, options, context)
    lines: list[str] = []
    plotters: list[Plotter] = []
    before = after = 0.0
    for frame in frames:
        plotter, size, travel = _plotted(frame, options, device, unit, context)
        plotters.append(plotter)
        before, after = before + travel[0], after + travel[1]
        if options.language == "hpgl2":
            lines.append(f"PS{size[0]},{size[1]};")
        lines += plotter.lines
        if len(frames) > 1:
            lines += ["SP0;", "PG;"]
    if lines[-1] != "PG;":
        lines.append("SP0;")
    body = "IN;\n" + "\n".join(lines) + "\n"
    if options.language == "hpgl2":
        body = "\x1b%-1B" + body + "\x1b%0A"
    findings = [_travel(before, after, options, context), _extent(plotters, unit, context)]
    lost = sorted({c for p in plotters for c in p.lost})
    if lost:
        findings.append(
            Finding(
                code="hpgl.letters",
                severity=Severity.WARNING,
                message=f"a plot holds ASCII only; written as ?: {' '.join(lost[:12])}",
                hint="rename what holds them, or leave labels out: labels = false",
            )
        )
    return WriteResult(parts=(Part(data=body.encode("ascii")),), findings=tuple(findings))


def _plotted(
    pieces: list[Placed], options: HpglOut, device: Device, unit: float, context: Context
) -> tuple[Plotter, tuple[int, int], tuple[float, float]]:
    """One stretch of the roll: its commands, its size in units, travel before and after."""
    box = _box(pieces)
    margin = float(options.margin)
    size = box[2:] - box[:2] + 2 * margin
    origin = device.origin if options.origin == "device" else options.origin
    # Whole units, so that placing never rounds otherwise than the pieces themselves.
    corner = -np.floor(box[:2] / unit) * unit + np.ceil(margin / unit) * unit
    wide = float(options.width) if options.width is not None else float(size[1])
    if origin == "centre":
        half = np.array([float(size[0]), wide]) / 2
        corner -= np.floor(half / unit) * unit
    strokes = [s for p in pieces for s in p.strokes]
    start = -corner if origin == "corner" else (box[:2] + box[2:]) / 2
    before = travel_of(strokes, start)
    if options.sort:
        strokes = ordered(strokes, start)
    chord = max(float(options.tolerance) - _ROUNDING * unit, 0.25 * float(options.tolerance))
    plotter = Plotter(
        unit, corner, pairs=options.pairs, chord=chord, bezier=options.curves == "bezier"
    )
    for label in (label for p in pieces for label in p.labels):
        plotter.label(label)
    plotter.draw(strokes)
    _in_range(plotter, device, unit, context)
    whole = np.ceil(np.array([float(size[0]), wide]) / unit).astype(int)
    return plotter, (int(whole[0]), int(whole[1])), (before, travel_of(strokes, start))


def _frames(pieces: list[Placed], options: HpglOut, context: Context) -> list[list[Placed]]:
    """The stretches in which the job is plotted; refuses what does not fit across or along."""
    margin = float(options.margin)
    if options.width is not None:
        box = _box(pieces)
        needed = float(box[3] - box[1]) + 2 * margin
        if needed > float(options.width) + 1e-6:
            widest = max(pieces, key=lambda p: float(p.box[3] - p.box[1]))
            raise _refused(
                "hpgl.too-wide",
                f"the plot needs {context.length(needed)} across the roll, which is "
                f"{context.length(float(options.width))} wide",
                piece=widest.name,
                measured=needed,
                limit=float(options.width),
                hint='a wider roll, or pieces laid side by side: layout = "rows"',
            )
    if options.advance is None:
        return [pieces]
    most = float(options.advance)
    frames: list[list[Placed]] = []
    for piece in sorted(pieces, key=lambda p: (float(p.box[0]), p.name)):
        if float(piece.box[2] - piece.box[0]) + 2 * margin > most:
            needed = float(piece.box[2] - piece.box[0]) + 2 * margin
            raise _refused(
                "hpgl.too-long",
                f'the piece "{piece.name}" needs {context.length(needed)} along the roll; paper is '
                f"moved on every {context.length(most)}",
                piece=piece.name,
                measured=needed,
                limit=most,
                hint="a longer advance, or turn the piece",
            )
        begun = float(_box(frames[-1])[0]) if frames else 0.0
        if frames and float(piece.box[2]) - begun + 2 * margin <= most:
            frames[-1].append(piece)
        else:
            frames.append([piece])
    return frames


def _in_range(plotter: Plotter, device: Device, unit: float, context: Context) -> None:
    low, high = int(plotter.low.min()), int(plotter.high.max())
    if low >= device.low and high <= device.high:
        return
    worst = high if high > device.high else low
    limit = device.high if high > device.high else device.low
    raise _refused(
        "hpgl.out-of-range",
        f"the plot reaches {context.length(abs(worst) * unit)} from the origin; the device knows "
        f"coordinates up to {limit}, which is {context.length(abs(limit) * unit)}",
        measured=abs(worst) * unit,
        limit=abs(limit) * unit,
        hint="split the job between pieces with advance, or name a device with a longer reach",
    )


def _box(pieces: list[Placed]) -> FloatArray:
    boxes = np.array([p.box for p in pieces])
    return np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))


def _known_sizes(pattern: Pattern, options: HpglOut) -> None:
    for size in options.sizes:
        if size not in pattern.sizes:
            raise _refused(
                "hpgl.no-size",
                f'there is no size "{size}" in the pattern',
                hint=did_you_mean(size, pattern.sizes) or f"sizes: {', '.join(pattern.sizes)}",
            )


def _travel(before: float, after: float, options: HpglOut, context: Context) -> Finding:
    if not options.sort:
        message = f"the lifted pen travels {context.length(before)}; lines are not sorted"
    else:
        message = (
            f"the lifted pen travels {context.length(after)}; in the pattern's own order it would "
            f"have been {context.length(before)}"
        )
    return Finding(
        code="hpgl.travel", severity=Severity.NOTE, message=message, measured=after, limit=before
    )


def _extent(plotters: list[Plotter], unit: float, context: Context) -> Finding:
    spans = [(p.high - p.low) * unit for p in plotters]
    long, wide = sum(float(s[0]) for s in spans), max(float(s[1]) for s in spans)
    parts = f" in {len(plotters)} stretches" if len(plotters) > 1 else ""
    return Finding(
        code="hpgl.extent",
        severity=Severity.NOTE,
        message=f"the plot is {context.length(long)} long and {context.length(wide)} wide{parts}",
        measured=long,
    )


def _refused(code: str, message: str, **fields: Any) -> SeamwrightError:
    return SeamwrightError.of(code, message, **fields)

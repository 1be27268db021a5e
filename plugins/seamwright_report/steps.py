"""What each step did: options, figures, what moved, what was held to."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from seamwright.plugins.api import StepRecord

from .combs import KEY as COMBS
from .facts import Facts
from .figures import figures, small
from .markup import Markup, Told, clean, el, name
from .pictures import KEY, step_pictures
from .say import Say
from .timeline import Timeline

_LENGTH = re.compile(r"(-?\d+(?:\.\d+)?) mm")


def step_list(facts: Facts, say: Say, timeline: Timeline | None) -> Markup:
    """One entry a step, in order; with its pictures where the pieces are known after each step."""
    steps = facts.record.steps
    if timeline is not None and timeline.last == len(steps):
        pictures: list[Markup | None] = [
            step_pictures(i, facts, timeline) for i in range(1, len(steps) + 1)
        ]
    else:
        pictures = [None] * len(steps)
    entries = [_step(step, facts, say, drawn) for step, drawn in zip(steps, pictures, strict=True)]
    return el("div", KEY if any(pictures) else None, el("ol", entries, class_="steps"))


def _step(step: StepRecord, facts: Facts, say: Say, pictures: Markup | None) -> Markup:
    short = step.use.rpartition("/")[2]
    parts: list[object] = [
        el("h3", el("code", short), el("span", f" {_kind(step)}", class_="soft")),
        el("p", _did(step, facts, say)),
    ]
    if pictures is not None:
        parts.append(pictures)
    if step.written:
        parts.append(el("p", "Wrote ", _joined([el("code", name(w)) for w in step.written]), "."))
    if step.invariants:
        parts.append(_invariants(step, say))
    shown = {key: value for key, value in step.figures.items() if key != COMBS}  # these are drawn
    if shown:
        parts.append(
            el(
                "details",
                el("summary", "Figures (lengths in mm)"),
                figures(shown),
            )
        )
    if step.options:
        rows = [
            el("tr", el("th", key, scope="row"), el("td", _option(value, say)))
            for key, value in sorted(step.options.items())
        ]
        parts.append(
            el(
                "details",
                el("summary", "Options"),
                el("div", el("table", el("tbody", rows), class_="small"), class_="wide"),
            )
        )
    return el("li", parts)


def _kind(step: StepRecord) -> str:
    kind = "" if step.kind == step.use else step.kind
    return ", ".join(part for part in (kind, step.plugin) if part)


def _did(step: StepRecord, facts: Facts, say: Say) -> str:
    out = []
    if step.skipped:
        out.append(f"Did not run: {clean(step.skipped).rstrip('.')}.")
    if step.changed:
        pieces = dict.fromkeys(piece for piece, _ in step.changed)
        for piece in list(pieces)[:6]:
            sizes = [size for p, size in step.changed if p == piece]
            whole = len(sizes) == len(facts.sizes)
            told = "in every size" if whole and len(sizes) > 1 else f"in {_sizes(sizes)}"
            moves = [step.moved[piece, s] for s in sizes if (piece, s) in step.moved]
            most = f"; its line moved by up to {say.both(max(moves))}" if moves else ""
            out.append(f"Changed {clean(piece)} {told}{most}.")
        if len(pieces) > 6:
            out.append(f"Changed {len(pieces) - 6} more pieces.")
    elif step.kind == "alteration" and not step.skipped:
        out.append("Changed nothing.")
    if step.kind == "check" and not step.skipped:
        many = f"{step.looked_at} {'item' if step.looked_at == 1 else 'items'}"
        out.append(f"Looked at {many}." if step.looked_at else "Nothing to look at.")
    counts = {
        word: sum(f.severity.value == word for f in step.findings)
        for word in ("error", "warning", "note")
    }
    found = [f"{n} {word}{'' if n == 1 else 's'}" for word, n in counts.items() if n]
    if found:
        out.append(f"Found {', '.join(found)}.")
    elif step.kind == "check" and step.looked_at:
        out.append("Found nothing amiss.")
    return Told(" ".join(out))


def _sizes(sizes: Sequence[str]) -> str:
    sizes = [clean(size) for size in sizes]
    if len(sizes) == 1:
        return f"size {sizes[0]}" if sizes[0] else "its one size"
    shown = ", ".join(sizes[:8])
    return f"sizes {shown}" + (f" and {len(sizes) - 8} more" if len(sizes) > 8 else "")


def _invariants(step: StepRecord, say: Say) -> Markup:
    rows = [
        el(
            "tr",
            el("th", i.name, scope="row"),
            el("td", _moved(i.moved, say), class_="n"),
            el("td", _moved(i.limit, say), class_="n"),
            el("td", i.where or "–"),
        )
        for i in step.invariants
    ]
    head = el(
        "tr",
        [
            el("th", h, scope="col", class_="n" if i in (1, 2) else None)
            for i, h in enumerate(("held to", "moved by", "may move by", "where most"))
        ],
    )
    table = el("table", el("thead", head), el("tbody", rows), class_="small")
    return el("div", table, class_="wide")


def _moved(value: float, say: Say) -> str:
    if not isfinite(value):
        return "–"
    if value == 0:
        return "0"
    return f"{small(value)} mm" if abs(value) < 1e-3 else say.both(value)


def _option(value: Any, say: Say) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or value == "":
        return "–"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, str) and (length := _LENGTH.fullmatch(value)):
        return say.both(float(length[1]))  # a record holds lengths in mm; the reader has a unit
    if isinstance(value, Mapping):
        parts = [f"{clean(k)} = {_option(v, say)}" for k, v in value.items()]
        return Told(", ".join(parts) or "–")
    if isinstance(value, (list, tuple)):
        return Told(", ".join(_option(v, say) for v in value) or "–")
    return clean(value)


def _joined(items: Sequence[Markup]) -> list[object]:
    out: list[object] = []
    for i, item in enumerate(items):
        if i:
            out.append(" and " if i == len(items) - 1 else ", ")
        out.append(item)
    return out

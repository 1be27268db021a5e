"""The record as plain text, for a terminal, a mail or a log."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from math import isfinite

from seamwright.findings import in_order
from seamwright.paper import CAUTIONS
from seamwright.plugins.api import Context, Part, Record, WriteResult

from .cap import caps_of
from .facts import Facts, SeamFacts, facts_of
from .folds import Folds, folds_of
from .options import TextOptions
from .say import Say
from .seam_tables import verdict
from .story import story_of

MOST_FINDINGS = 200


def write_text(record: Record, options: TextOptions, ctx: Context) -> WriteResult:
    """The record as a text file."""
    lines = text_lines(record, Say(ctx.units), options.width)
    data = "\n".join(lines).encode("utf-8", "replace") + b"\n"
    return WriteResult(parts=(Part(data=data),))


def text_lines(record: Record, say: Say, width: int) -> list[str]:
    """Lines of at most `width` columns, names that are longer aside."""
    facts, folds = facts_of(record), folds_of(record)
    story = story_of(facts, folds, (caps_of(record.before), caps_of(record.after)), say)
    out = [facts.style, "=" * min(len(facts.style), width), ""]
    out += textwrap.wrap(story.headline, width)
    for question, answer in story.answers:
        out += ["", question, *_indented(answer, width)]
    if story.left:
        out += ["", "What is left to look at"]
        out += [line for text in story.left for line in _indented(f"- {text}", width)]
    if folds:
        out += ["", "Where to fold (down the cap from the shoulder point: width at the edge)"]
        out += _folds(facts, folds, say)
    if facts.seams:
        out += ["", f"Ease of every seam, {say.unit}, worst first", *_table(facts, say)]
    findings = in_order(record.findings)
    if findings:
        out += ["", "Findings"]
        for f in findings[:MOST_FINDINGS]:
            out += _indented(f"{f.severity.value}: {f.message} [{f.code}]", width)
            if f.hint:
                out += _indented(f"to do: {f.hint}", width, more=2)
        if len(findings) > MOST_FINDINGS:
            out.append(f"  and {len(findings) - MOST_FINDINGS} more")
    out += ["", "Before you cut", *(line for c in CAUTIONS for line in _indented(c, width))]
    return ["".join(c if c.isprintable() else "\ufffd" for c in line) for line in out]


def _indented(text: str, width: int, more: int = 0) -> list[str]:
    pad = " " * (2 + more)
    return textwrap.wrap(text, width, initial_indent=pad, subsequent_indent=pad + "  ")


def _folds(facts: Facts, folds: Folds, say: Say) -> Iterable[str]:
    for sleeve in folds.by_sleeve:
        if len(folds.by_sleeve) > 1:
            yield f"  {sleeve}"
        for size in facts.sizes:
            for half in ("back", "front"):
                own = folds.of(sleeve, size).of(half)
                if own:
                    told = ", ".join(f"{say.about(f.at)}: {say.full(f.width)}" for f in own)
                    yield f"  {size}  {half:<5}  {told}"


def _table(facts: Facts, say: Say) -> list[str]:
    rows: list[Sequence[str]] = [("seam", "size", "before", "now", "allowed", "")]
    for seam in facts.worst_first:
        for z, size in enumerate(facts.sizes):
            if isfinite(float(seam.after[z])) or isfinite(float(seam.before[z])):
                rows.append(_row(seam, z, size, say))
    widths = [max(len(row[i]) for row in rows) for i in range(6)]
    return [
        "  " + "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def _row(seam: SeamFacts, z: int, size: str, say: Say) -> Sequence[str]:
    state = verdict(float(seam.out_after[z]))
    words = {"over": "too long", "under": "too short", "ok": "ok", "": "not measured"}
    return (
        seam.name,
        size,
        say.short(float(seam.before[z])),
        say.short(float(seam.after[z])),
        f"{say.short(seam.at_least)} to {say.short(seam.at_most)}",
        words[state],
    )

"""Every finding that reading or writing an SVG may make."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity, drawing_codes

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE

CODES: Final = (
    Code(
        code="svg.not-xml", severity=_E, title="not well-formed XML",
        why="A damaged file may lack half of its lines.",
        remedy="Save the drawing again, or copy the file again.",
    ),
    Code(
        code="svg.not-svg", severity=_E, title="XML, but no drawing",
        why="The file holds something else.", remedy="Export the drawing as SVG.",
    ),
    Code(
        code="svg.unsafe", severity=_E, title="refused for safety",
        why="Entities that unfold, clones in circles and references to other files can fill the "
        "memory or reach into the computer; a drawing of a pattern needs none of them.",
        remedy="Save it again as plain SVG; unlink clones.",
    ),
    Code(
        code="svg.limit", severity=_E, title="over a limit",
        why="Sizes, counts and nesting are bounded so that a file cannot stop the work.",
        remedy="Raise the limit that the message names, if you trust the file.",
    ),
    Code(
        code="svg.path-data", severity=_E, title="broken path data",
        why="Half a line looks like a line: a cutter would follow it.",
        remedy="Correct the path, or read with lenient = true.",
    ),
    Code(
        code="svg.attribute", severity=_E, title="an attribute that is no length",
        why="The shape cannot be drawn as it was meant.",
        remedy="Correct it, or read with lenient = true.",
    ),
    Code(
        code="svg.transform", severity=_E, title="a transform that cannot be read",
        why="Without it everything under it would lie elsewhere, or be of another size.",
        remedy="Correct it, or read with lenient = true.",
    ),
    Code(
        code="svg.relative-length", severity=_W, title="a length that depends on a font",
        why="No font size in a drawing can be trusted.", remedy="Draw with real lengths.",
    ),
    Code(
        code="svg.missing-clone", severity=_W, title="a clone without its original",
        why="A part of the drawing is missing.", remedy="Unlink the clone and save again.",
    ),
    Code(
        code="svg.clip-ignored", severity=_W, title="a clip or mask was not applied",
        why="Lines that the drawing hides are read.", remedy="Apply the clip and save again.",
    ),
    Code(
        code="svg.hidden", severity=_W, title="hidden parts were left out",
        why="A hidden layer may be a size.",
        remedy="Show it in the drawing program, or read with hidden = true.",
    ),
    Code(
        code="svg.external", severity=_W, title="references to other files",
        why="Nothing that a file names is ever opened.",
        remedy="Embed what matters in the drawing.",
    ),
    Code(
        code="svg.not-read", severity=_W, title="elements that hold no lines",
        why="Images and special objects have no place in a pattern.",
        remedy="Trace images, convert objects to paths.",
    ),
    Code(
        code="svg.no-extent", severity=_N, title="shapes without extent",
        why="A point, a circle of radius 0 or a line at scale 0 has nothing to measure.",
        remedy="Draw a mark that should be read as a small circle or a short line.",
    ),
    Code(
        code="svg.style", severity=_N, title="style rules that are not understood",
        why="They may hide or move something.", remedy="Use plain classes, ids and attributes.",
    ),
    Code(
        code="svg.outside", severity=_N, title="lines and texts outside all pieces",
        why="They belong to no piece; they are kept for writing SVG again.",
        remedy="Move them into the piece they belong to.",
    ),
    Code(
        code="svg.metadata", severity=_E, title="damaged data in the metadata element",
        why="What our own writer put there cannot be read.", remedy="Write the file again.",
    ),
    Code(
        code="scale.unknown", severity=_W, title="no physical size",
        why="The numbers of the drawing mean nothing without one.",
        remedy="px-per-inch, or known.",
    ),
    Code(
        code="scale.assumed", severity=_N, title="what the scale rests on",
        why="Pixels are no physical length.", remedy="Check a length you know.",
    ),
    Code(
        code="scale.known", severity=_N, title="scaled by something of known size",
        why="Everything hangs on that one measure.", remedy="Check a second length.",
    ),
    Code(
        code="svg.empty-piece",
        severity=_W,
        title="a piece without any shape",
        why="There is nothing to draw, so it is gone when the file is read.",
        remedy="Give it a shape, or take it out.",
    ),
    Code(
        code="svg.unprintable", severity=_W, title="characters that XML cannot hold",
        why="They were replaced.", remedy="Rename what holds them.",
    ),
    *drawing_codes("svg"),
)  # fmt: skip

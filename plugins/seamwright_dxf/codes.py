"""Every finding code of this plugin: what it means and what to do."""

from __future__ import annotations

from typing import Final

from seamwright.plugins.api import Code, Severity

_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE
_ASK = "ask the sender for the file again"
_LOOK = "look at the place in the drawing"


def _code(code: str, severity: Severity, title: str, why: str, remedy: str) -> Code:
    return Code(code=code, severity=severity, title=title, why=why, remedy=remedy)


CODES: Final = (
    # The file as a file.
    _code("dxf.not-dxf", _E, "not a DXF file", "nothing in it can be read", "look at what it is"),
    _code(
        "dxf.tags", _E, "the tags make no sense", "codes and values come in pairs of lines", _ASK
    ),
    _code(
        "dxf.truncated",
        _E,
        "the file is cut off",
        "pieces after the cut are missing, the last one may be half",
        _ASK,
    ),
    _code(
        "dxf.no-eof", _W, "the EOF line is missing", "the file may have been cut", "compare counts"
    ),
    _code(
        "dxf.after-eof",
        _N,
        "something stands after the end",
        "it is not part of the drawing",
        "nothing",
    ),
    _code("dxf.section-open", _W, "a section has no end", "something may be missing", _ASK),
    _code("dxf.block-open", _W, "a block has no end", "something may be missing", _ASK),
    _code("dxf.empty-line", _N, "empty lines among the tags", "they are no tags", "nothing"),
    _code(
        "dxf.stray-line", _W, "a line that belongs to no tag", "the entity there may be hurt", _LOOK
    ),
    _code(
        "dxf.number",
        _E,
        "a number that is none",
        "the entity would be somewhere else, so it is left out",
        _ASK,
    ),
    _code(
        "dxf.decimal-comma",
        _W,
        "decimal commas throughout",
        "the format knows points only",
        "have the sender write points",
    ),
    _code(
        "dxf.decimal-mixed",
        _E,
        "decimal commas and points",
        "a number with a comma could mean anything",
        _ASK,
    ),
    _code(
        "dxf.encoding", _W, "the encoding is in doubt", "names may be wrong", "say encoding = ..."
    ),
    _code("dxf.byte", _W, "bytes that are no letters", "names may be wrong", "say encoding = ..."),
    # Entities.
    _code(
        "dxf.entities",
        _N,
        "how many entities were converted",
        "what the raw text holds must equal what was read plus what is reported",
        "nothing",
    ),
    _code("dxf.entity-kept", _W, "entities that no pattern holds", "they may matter", _LOOK),
    _code("dxf.incomplete", _E, "an entity lacks a coordinate", "it is left out", _ASK),
    _code("dxf.degenerate", _W, "an entity draws nothing", "it has fewer than two points", _LOOK),
    _code("dxf.lone-vertex", _E, "a vertex without a polyline", "a line is missing", _ASK),
    _code(
        "dxf.no-seqend", _W, "a polyline without its end mark", "the file is not clean", "nothing"
    ),
    _code(
        "dxf.vertex-count",
        _W,
        "a polyline with another count than stated",
        "vertices may be missing",
        _LOOK,
    ),
    _code(
        "dxf.outside-block", _E, "entities outside any block", "nobody knows whose they are", _ASK
    ),
    _code("dxf.spline", _N, "a spline that is no cubic", "it is approximated", "nothing"),
    _code("dxf.text-long", _W, "a text beyond the limit", "it is cut", "raise the limit text"),
    _code("dxf.text-empty", _N, "texts without letters", "they say nothing", "nothing"),
    _code("dxf.text-aside", _N, "texts in no piece", "they may matter", _LOOK),
    _code("dxf.paper-space", _N, "entities of a printed sheet", "they are no pattern", "nothing"),
    _code("dxf.layer", _N, "lines on a layer without meaning", "they may matter", _LOOK),
    _code("dxf.layer-hidden", _N, "a layer that is switched off", "the sender hid it", _LOOK),
    _code("dxf.homeless", _W, "lines in no piece", "an outline may be missing", _LOOK),
    _code("dxf.scale-square", _N, "a square for measuring", "it is no piece", "nothing"),
    # Blocks.
    _code(
        "dxf.block-missing",
        _E,
        "a block that is placed but not defined",
        "a piece is missing",
        _ASK,
    ),
    _code(
        "dxf.external",
        _E,
        "a block that is another file",
        "no file but the one named is ever opened",
        "have the sender bind the reference",
    ),
    _code("dxf.block-unused", _N, "blocks that are placed nowhere", "they are left out", _LOOK),
    _code("dxf.block-cycle", _E, "a block contains itself", "it can never be drawn", _ASK),
    _code(
        "dxf.bomb",
        _E,
        "more copies than the limit",
        "it would fill the memory",
        "raise the limit instances if the file is honest",
    ),
    _code(
        "dxf.nesting",
        _E,
        "blocks nested too deep",
        "it would exhaust the machine",
        "raise the limit depth if the file is honest",
    ),
    _code("dxf.uneven-scale", _W, "a piece stretched unevenly", "it no longer sews", _LOOK),
    _code(
        "limit.elements",
        _E,
        "more entities than the limit",
        "reading it would take too long",
        "raise the limit elements if the file is honest",
    ),
    # Unit.
    _code(
        "unit.unknown",
        _W,
        "no unit is stated",
        "the pattern may be 10 or 25 times off",
        "say unit = ...",
    ),
    _code(
        "unit.implausible", _W, "pieces of an odd size", "the unit may be wrong", "say unit = ..."
    ),
    _code(
        "unit.contradiction",
        _N,
        "two statements of the unit",
        "one of them is wrong",
        "say unit = ...",
    ),
    # Pieces.
    _code("dxf.no-piece", _E, "no piece", "nothing closed was found", 'say layers = "plain"'),
    _code("outline.missing", _E, "a block without an outline", "the piece is missing", _ASK),
    _code("outline.open", _E, "an outline that does not close", "it cannot be cut", _LOOK),
    _code("outline.gap", _W, "a gap in a line", "ends do not meet", "raise join, or mend it"),
    _code(
        "outline.joined", _N, "loose lines joined", "the file drew the outline in pieces", "nothing"
    ),
    _code(
        "outline.junction", _W, "more than two lines meet", "which belong together is open", _LOOK
    ),
    _code(
        "outline.other-layer",
        _W,
        "the outline stands on another layer",
        "the standard wants it on layer 1",
        _LOOK,
    ),
    _code(
        "line.twice",
        _W,
        "a line is drawn twice",
        "it would be cut twice",
        'say duplicates = "remove"',
    ),
    _code(
        "seam-line.missing",
        _W,
        "a cut line and no seam line",
        "seams walked on a cut line are wrong in curves",
        "state allowance or boundary",
    ),
    _code(
        "seam-line.derived",
        _N,
        "the seam line is made from the cut line",
        "the allowance was stated",
        "check it against the paper",
    ),
    _code(
        "seam-line.failed",
        _E,
        "no seam line inside the cut line",
        "the allowance is too wide",
        "state a smaller allowance",
    ),
    _code("fold.unfolded", _N, "a half piece is unfolded", "it was asked for", "nothing"),
    _code(
        "fold.failed",
        _W,
        "a half piece that cannot be unfolded",
        "its fold line lies on no straight edge",
        _LOOK,
    ),
    _code(
        "fold.no-line",
        _W,
        "a fold without its line",
        "the text says fold, no line shows where",
        _LOOK,
    ),
    _code(
        "nest.topology",
        _W,
        "a size with other corners or notches",
        "a mark is missing or one too many",
        _LOOK,
    ),
    _code("name.twice", _W, "two pieces of one name", "one of them is renamed", "rename it"),
    _code("size.unknown", _W, "sizes without names", "they are counted", "name the sizes"),
    _code(
        "size.base-unknown",
        _W,
        "the sample size is unknown",
        "grading starts from it",
        "say base-size = ...",
    ),
    _code("piece.quantity", _W, "a quantity that is no count", "one is taken", "write right,left"),
    _code("piece.differs", _W, "sizes disagree about the piece", "the first is taken", _LOOK),
    # Marks.
    _code("notch.off-line", _N, "a notch beside its line", "it is put on the line", _LOOK),
    _code("notch.astray", _W, "a notch far from the outline", "it is kept aside", _LOOK),
    _code(
        "notch.depth-group",
        _N,
        "two numbers in a notch",
        "which is the depth is not settled",
        "say notch-depth = ...",
    ),
    _code(
        "notch.angle-odd",
        _W,
        "notches along their seam",
        "the angle may be meant otherwise",
        "say notch-angle = ...",
    ),
    _code(
        "notch.cut-in",
        _N,
        "notches cut into the outline",
        "the outline runs round them",
        "walk it without them",
    ),
    _code(
        "point.off-vertex", _N, "turn points beside their vertex", "they are put on it", "nothing"
    ),
    _code("point.astray", _W, "turn points on no vertex", "a line may be missing", _LOOK),
    _code("point.gone", _N, "turn points that lost their vertex", "a step moved it", "nothing"),
    # Rule table.
    _code(
        "rules.missing",
        _N,
        "the rule table is not there",
        "the sizes cannot be made from it",
        "put it beside the drawing",
    ),
    _code("rules.damaged", _E, "a damaged rule table", "a wrong number is a wrong size", "mend it"),
    _code("rules.empty", _W, "a rule table without rules", "nothing can be graded", "look at it"),
    _code("rules.twice", _W, "a rule stands twice", "the last counts", "mend it"),
    _code("rules.no-end", _W, "a rule table without END", "it may have been cut", "compare counts"),
    _code(
        "rules.decimal-comma",
        _W,
        "decimal commas in the rule table",
        "points are the rule",
        "write points",
    ),
    _code(
        "rules.reading",
        _N,
        "how the rule table is read",
        "three ways are in use",
        "say deltas = ... if it is wrong",
    ),
    _code(
        "rules.reading-open",
        _E,
        "a rule table with several meanings",
        "it is not used",
        "say deltas = ...",
    ),
    _code(
        "rules.sample-unknown",
        _E,
        "a rule table for another sample size",
        "it is not used",
        "say base-size = ...",
    ),
    _code(
        "rules.other-table",
        _W,
        "another rule table than named",
        "it may be another style's",
        "look at it",
    ),
    _code(
        "rules.other-lines",
        _N,
        "lines of a rule table without meaning",
        "they may matter",
        "look at it",
    ),
    _code(
        "rules.not-written", _W, "grade rules left out", "the option said so", "rule-table = true"
    ),
    # Writing.
    _code(
        "dxf.not-finite",
        _E,
        "a coordinate that is no number",
        "no file may hold it",
        "look for the step that made it",
    ),
    _code("dxf.nothing", _E, "nothing to write", "the pattern is empty", "look at what was read"),
    _code(
        "dxf.polyline-layer",
        _N,
        "a bent line where straight ones belong",
        "some receivers refuse it",
        "nothing",
    ),
    _code(
        "dxf.note-changed",
        _W,
        "style data that does not come back as it was",
        "a text holds one key and one value",
        "rename the key",
    ),
    _code(
        "dxf.flattened",
        _N,
        "curves are flattened",
        "the format holds chords or arcs only",
        "state a smaller tolerance",
    ),
    _code(
        "dxf.marks-only",
        _N,
        "told by our own marks only",
        "other programs see plain lines",
        "nothing",
    ),
    _code("name.changed", _N, "a name made legal", "the format allows few signs", "nothing"),
    _code("text.letters", _N, "letters beyond ASCII", "the format allows ASCII only", "nothing"),
    _code(
        "plan.beside", _N, "the plan is written beside the file", "DXF cannot hold it", "keep both"
    ),
)

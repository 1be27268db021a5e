"""What the DXF reader and writer may be told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal

from seamwright.plugins.api import Angle, Length, Options, angle, choice, flag, length, number, text


class DxfIn(Options, frozen=True):
    """Options of reading."""

    unit: Annotated[
        Literal["auto", "mm", "cm", "in"],
        choice("Unit of the drawing; auto follows the file, and says so where the file is silent."),
    ] = "auto"
    layers: Annotated[
        Literal["auto", "standard", "plain"],
        choice(
            "Whether layers have the meaning of the sewn-products standard; plain reads the "
            "drawing by shape and by the words in layer names."
        ),
    ] = "auto"
    boundary: Annotated[
        Literal["auto", "cut line", "seam line"],
        choice(
            "What layer 1 is where no closed sew line lies inside it: auto walks it as it stands "
            "and says so; seam line states that it is the seam line."
        ),
    ] = "auto"
    allowance: Annotated[
        Length | None,
        length(
            "Seam allowance by which the seam line lies inside a cut line.",
            at_least=0.1,
            at_most=100.0,
        ),
    ] = None
    deltas: Annotated[
        Literal["auto", "cumulative", "step-outward", "step-ascending"],
        choice(
            "What the numbers of a rule table count from: the sample size, the neighbour towards "
            "the sample size, or the size listed before. auto takes what the numbers prove, and "
            "refuses to guess."
        ),
    ] = "auto"
    notch_depth: Annotated[
        Literal["auto", "39", "30"],
        choice("Group of a notch point that holds its depth; the other then holds its width."),
    ] = "auto"
    notch_angle: Annotated[
        Literal["auto", "drawing", "from-normal"],
        choice("What group 50 of a notch point counts from: the drawing's x axis, or the line."),
    ] = "auto"
    cut_notches: Annotated[
        Literal["report", "take out"],
        choice(
            "What to do with notches that are cut into the outline itself: report leaves the "
            "outline as it is; take out straightens it and makes them notches."
        ),
    ] = "report"
    snap: Annotated[
        Length,
        length(
            "How far a notch may lie off the outline and still belong to it.",
            at_least=0.0,
            at_most=100.0,
        ),
    ] = Length(10.0)
    join: Annotated[
        Length,
        length("Widest gap between two loose lines that are joined.", at_least=0.0, at_most=10.0),
    ] = Length(0.05)
    corner: Annotated[
        Angle,
        angle(
            "Turn from which a vertex is a corner where no turn points are drawn.",
            at_least=1.0,
            at_most=179.0,
        ),
    ] = Angle(20.0)
    duplicates: Annotated[
        Literal["report", "remove"],
        choice("What to do with lines that are drawn twice: report keeps them."),
    ] = "report"
    unfold: Annotated[bool, flag("Unfold pieces that are drawn as one half at a fold.")] = False
    base_size: Annotated[
        str, text("The base (sample) size; by default what the file states, else the middle one.")
    ] = ""
    encoding: Annotated[
        str,
        text("Encoding of the texts, where the file names none or the wrong one (cp1252, ...)."),
    ] = ""
    decimal: Annotated[
        Literal["auto", "point", "comma"],
        choice("The decimal sign; auto accepts a comma if all numbers have one, with a warning."),
    ] = "auto"
    damaged: Annotated[
        Literal["refuse", "read to the cut"],
        choice("What to do with a file that is cut off before its end."),
    ] = "refuse"


class DxfOut(Options, frozen=True):
    """Options of writing."""

    kind: Annotated[
        Literal["standard", "cad-r12", "cad-r2010"],
        choice(
            "standard: the sewn-products exchange (a block for each piece and size, rule table "
            "beside it). cad-r12, cad-r2010: a plain drawing for laser cutters and CAD."
        ),
    ] = "standard"
    curves: Annotated[
        Literal["chords", "arcs", "splines"],
        choice(
            "How curves are written: as chords, as arcs (bulges), or as splines (cad-r2010 only)."
        ),
    ] = "chords"
    tolerance: Annotated[
        Length,
        length(
            "Farthest distance between a curve and what is written.", at_least=0.0001, at_most=5.0
        ),
    ] = Length(0.05)
    unit: Annotated[
        Literal["mm", "in"], choice("Unit of the numbers written: METRIC or ENGLISH.")
    ] = "mm"
    letters: Annotated[
        Literal["escape", "transliterate"],
        choice(
            "Letters beyond ASCII: escape writes them as the format's own escapes, so that they "
            "come back; transliterate writes the nearest plain letters."
        ),
    ] = "escape"
    deltas: Annotated[
        Literal["cumulative", "step-outward", "step-ascending"],
        choice("What the numbers of the rule table count from."),
    ] = "cumulative"
    decimals: Annotated[int, number("Decimals of the numbers written.", at_least=2, at_most=6)] = 6
    rule_table: Annotated[
        bool, flag("Write the grade rules into a rule table beside the file.")
    ] = True
    plan: Annotated[
        bool, flag("Write the seam plan, which DXF cannot hold, into a file beside it.")
    ] = True
    scale_square: Annotated[
        bool, flag("Draw a 100 mm square on its own layer of a cad-r12 file, which holds no unit.")
    ] = True

    def check(self) -> Iterable[str]:
        if self.curves == "splines" and self.kind != "cad-r2010":
            yield 'curves = "splines" needs kind = "cad-r2010": the other kinds know no splines'
        if self.curves == "arcs" and self.kind == "standard":
            yield 'curves = "arcs" needs a plain kind: the standard\'s outlines are polylines'

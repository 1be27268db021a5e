"""The findings that reading any drawing may make, for the declarations of its readers."""

from __future__ import annotations

from typing import Final

from seamwright.findings import Severity

from .descriptors import Code

_E: Final = Severity.ERROR
_W: Final = Severity.WARNING
_N: Final = Severity.NOTE


def drawing_codes(format: str) -> tuple[Code, ...]:
    """What `seamwright.model.recognise` may say. format: its short name, with which some begin."""
    return (
        Code(
            code=f"{format}.shared-mark", severity=_N, title="marks drawn once for several sizes",
            why="Each size gets its own.", remedy="Put what belongs to one size into its layer.",
        ),
        Code(
            code=f"{format}.frame", severity=_N, title="a page border",
            why="A rectangle around the pieces is no piece.", remedy="Nothing, or name it.",
        ),
        Code(
            code=f"{format}.reference", severity=_N, title="test squares and scale bars",
            why="They are no pieces.", remedy="Nothing.",
        ),
        Code(
            code=f"{format}.no-outline", severity=_E, title="no closed outline",
            why="Without one there is no piece.", remedy="Close the outlines, or widen join.",
        ),
        Code(
            code="scale.mismatch", severity=_E,
            title="the test square has another size than it says",
            why="The whole drawing is too large or too small by the same factor.",
            remedy="Read with known, or save the drawing at its true size.",
        ),
        Code(
            code="outline.open", severity=_E, title="an outline that does not close",
            why="Without a closed outline there is no piece.",
            remedy="Join the ends in the drawing, or widen join.",
        ),
        Code(
            code="outline.joined", severity=_N, title="an outline made of several strokes",
            why="Where ends did not quite meet, both were moved half way.",
            remedy="Nothing if the gap is small.",
        ),
        Code(
            code="outline.double", severity=_N, title="an outline drawn twice",
            why="A fill and a stroke may be two shapes.", remedy="Nothing.",
        ),
        Code(
            code="outline.unlabelled", severity=_N, title="outlines without a label",
            why="A cut line taken for a seam line is longer by the allowance at every corner.",
            remedy="Label outlines as seam line or cut line.",
        ),
        Code(
            code="outline.two-lines", severity=_W, title="two outlines one inside the other",
            why="The inner is taken for the seam line.", remedy="Label both.",
        ),
        Code(
            code="seam-line.missing", severity=_W, title="only a cut line",
            why="A cut line measures more than the seam that is sewn.",
            remedy="State the seam allowance.",
        ),
        Code(
            code="seam-line.not-derived", severity=_E, title="no seam line could be made",
            why="The allowance does not fit the piece.", remedy="Draw the seam line.",
        ),
        Code(
            code="piece.same-name", severity=_W, title="pieces of the same name",
            why="A plan could not tell them apart.", remedy="Name them.",
        ),
        Code(
            code="mark.off-line", severity=_N, title="a mark beside its line",
            why="It was put on the line at the nearest place.",
            remedy="Check that it is meant there.",
        ),
        Code(
            code="sizes.unnamed", severity=_W, title="sizes without names",
            why="They are numbered from the smallest.", remedy="Name layers by size.",
        ),
        Code(
            code="sizes.from-names", severity=_N, title="sizes taken from the ends of names",
            why="A number at the end of a name may mean something else.",
            remedy='Name layers "Size 10".',
        ),
        Code(
            code="sizes.from-layers",
            severity=_N,
            title="layers that hold the same pieces",
            why="They are taken as sizes by what they hold, not by what they are called.",
            remedy='Name layers "Size A".',
        ),
        Code(
            code="sizes.from-texts",
            severity=_N,
            title="sizes taken from texts inside the pieces",
            why="A text may be left over from a copy.",
            remedy='Name layers "Size 10".',
        ),
        Code(
            code="sizes.base-assumed", severity=_N, title="no base size is stated",
            why="The middle size stands in.", remedy="State it: base-size.",
        ),
        Code(
            code="sizes.no-base", severity=_E, title="a base size that is not there",
            why="The drawing has other sizes.", remedy="Name one of its sizes.",
        ),
        Code(
            code="sizes.one-for-all", severity=_N, title="pieces without a size",
            why="They are taken to be the same in all sizes.", remedy="Put them into size layers.",
        ),
    )  # fmt: skip

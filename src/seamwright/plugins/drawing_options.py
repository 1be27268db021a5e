"""What every reader of drawings may be told: of vector files, of paper, of plots."""

from __future__ import annotations

from typing import Annotated

from .options import Angle, Length, Options, angle, length, text


class DrawingIn(Options, frozen=True):
    """How pieces are seen in a drawing; `seamwright.model.recognise` goes by these."""

    join: Annotated[
        Length,
        length("Widest gap over which strokes of an outline are joined.", at_least=0, at_most=25),
    ] = Length(0.05)
    corner: Annotated[
        Angle,
        angle("An outline has a corner where it turns by more than this.", at_least=1, at_most=170),
    ] = Angle(20.0)
    allowance: Annotated[
        Length | None,
        length(
            "Seam allowance of outlines that are cut lines: the seam line is made that far inside.",
            at_least=0,
            at_most=200,
        ),
    ] = None
    base_size: Annotated[
        str, text("The base size; by default what the file states, else the middle one.")
    ] = ""
    size: Annotated[str, text("Name of the size of a drawing that names none.")] = "one size"

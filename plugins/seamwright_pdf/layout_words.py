"""What the writer puts into a PDF so that it reads back whole: the agreement of writer and reader.

Nothing is hidden: all that counts is drawn, and the names below only say what a drawn thing is.
A file from elsewhere has none of them and is read by its lines, layers and texts alone.

**Two coordinate systems.** The *sheet* is the whole layout in mm, y up, before it is cut into
pages. A piece lies on the sheet as p' = R(degrees) p + (dx, dy); `Placed [dx dy degrees]` says so,
in mm and degrees, and the reader undoes it. On a page, points are sheet mm x 72 / 25.4 under one
translation `1 0 0 1 tx ty cm`, clipped to the window of the page. Nothing is scaled. An outline
that reaches into several pages is written whole on each of them, with the same numbers.

**Pages.** `PieceInfo / Seamwright / Private` (ISO 32000-1, 14.5: the place for an application's
own page data) holds
    Kind      /Tile (a part of the sheet) or /Cover (no pattern on it)
    Row, Column   from 0, from the top left of the sheet
    Window    [x0 y0 x1 y1] in sheet mm: what of the sheet this page shows
    Shift     [tx ty] in points: page point = sheet point + shift
    Overlap   mm that neighbouring windows share
A page's label (PageLabels) is its name: "A1" is row A, column 1.

**Layers.** One optional content group for each size, called `size_layer(...)`; below it in the
order tree one group for each kind of line, called `kind_layer(...)`. Content stands in both:
    /OC /S0 BDC                                   the size
      /Piece << /Name .. /Size .. /Placed .. >> BDC
        /OC /S0k2 BDC                             the kind of line
          /SeamLine << /Corners [..] >> BDC  path  EMC
        EMC
      EMC
    EMC
`PAGE_LAYER` and `GUIDE_LAYER` hold what belongs to the paper and not to the pattern.

**Tags** of marked content and their properties (all optional but Name and Size; strings are text
strings of ISO 32000-1, 7.9.2.2; lengths in mm and directions in degrees, of the piece itself,
before it is placed):
    Piece     Name, Size, Base (true for the base size), Quantity [right left], Material,
              Category, Half (true: mirrored half), Source (where the seam line came from),
              Placed [dx dy degrees], Allowances [..]
    CutLine   closed path
    SeamLine  closed path; Corners [joint (name) joint (name) ..], joints counted from 0 at the
              start of the path
    Notch     the first point of the path is the place on the line; Name, Type, Depth, Width,
              Angle, Line (/Seam or /Cut), At [segment t]
    GrainLine path of two points, from start to end; the arrow heads are Artifact
    InternalLine  Kind (as in the model), Name, Layer
    Dart      path left, apex, right; Name, Left [segment t], Right [segment t]
    DrillHole circle about At [x y]; Diameter, Name, Class
    Text      Words, At [x y], Height, Turn, Role, Layer: as in the pattern, whatever place the
              drawn text was moved to so that it crosses no line
    Artifact  arrow heads, our own labels, all furniture: no part of the pattern

The document's Title is the pattern's name; `Info / SeamwrightSizes` is an array of all sizes in
order, with the base size in `SeamwrightBase`.
"""

from __future__ import annotations

from typing import Final

POINT: Final = 25.4 / 72
"""mm in a point of PDF's default user space."""

APPLICATION: Final = "/Seamwright"
"""Key in a page's PieceInfo."""

PAGE_LAYER: Final = "Page marks"
"""Frames, trim lines, matching marks and page names of tiles."""

GUIDE_LAYER: Final = "Guide"
"""Title, test squares, caution, key to the lines, key plan."""

CUT: Final = "cut lines"
SEAM: Final = "seam lines"
MARKS: Final = "notches and marks"
INSIDE: Final = "grain and inside lines"
WORDS: Final = "words"
KINDS: Final = (CUT, SEAM, MARKS, INSIDE, WORDS)
"""Kinds of line, each a layer below each size."""


def size_layer(size: str, count: int) -> str:
    """The name of a size's layer, `count` sizes in all."""
    return f"Size {size}" if count > 1 else size


def kind_layer(size: str, kind: str, count: int) -> str:
    """The name of the layer of one kind of line in a size: also plain in a flat list."""
    return f"{size_layer(size, count)}: {kind}"

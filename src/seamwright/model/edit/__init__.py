"""Surgery on a Shape: every alteration is made of these, so that marks are carried in one way.

replace_run   another curve in place of a stretch of the outline, marks carried along
transform     a rigid or affine map of everything in the piece
follow_cut_line  the cut line beside a stretch that was replaced
make_cut_line, make_seam_line   cut line from seam line and allowances, and back
deform        any map of the plane, applied to control points and marks
cut_shape     a piece cut in two along a line
slash_and_spread  part of a piece turned about a hinge, the opening filled
spread_apart  strips between slashes moved apart
turn_dart     a dart closed here and opened there, about its point
hold_names, release_names, renew   names, allowances and cut line over surgery
outline_parts, contents   what these are made of: stretches with their marks, and the inside

Each returns a new Shape; what lies outside a replaced stretch keeps its exact control points.
"""

from __future__ import annotations

from .allowance import MadeCutLine, make_cut_line, make_cut_lines, make_seam_line, make_seam_lines
from .contents import Contents, contents_of, parallel_grain, part_of
from .cut import Cut, cut_shape, place_cut
from .dart import Turned, turn_dart
from .deform import deform, deform_curve
from .follow import Followed, follow_cut_line
from .keep import Renewed, hold_names, release_names, renew
from .outline_parts import Part, part_between, plain, shape_of_parts
from .pivot import Spread, slash_and_spread, turn_about
from .replace_run import Replaced, Replacement, replace_run, replace_runs
from .spread import SpreadApart, spread_apart
from .transform import transform
from .wedge import Wedge, cloth_area, inside_of, mouth_curve, wedge_of, with_legs_equal

__all__ = [
    "Contents", "Cut", "Followed", "MadeCutLine", "Part", "Renewed", "Replaced", "Replacement",
    "Spread", "SpreadApart", "Turned", "Wedge", "cloth_area", "contents_of", "cut_shape", "deform",
    "deform_curve", "follow_cut_line", "hold_names", "inside_of", "make_cut_line", "make_cut_lines",
    "make_seam_line", "make_seam_lines",
    "mouth_curve", "parallel_grain", "part_between", "part_of", "place_cut", "plain",
    "release_names", "renew", "replace_run", "replace_runs", "shape_of_parts",
    "slash_and_spread", "spread_apart", "transform", "turn_about",
    "turn_dart", "wedge_of", "with_legs_equal",
]  # fmt: skip

"""What a drawn thing is for, and the words that say so.

The words are the trade's own, in English, and the commonest in German, French and Spanish
(common practice, no source).
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final


class Role(StrEnum):
    """What a curve or a text stands for."""

    SEAM = "seam"
    CUT = "cut"
    OUTLINE = "outline"
    NOTCH = "notch"
    GRAIN = "grain"
    FOLD = "fold"
    DART = "dart"
    DRILL = "drill"
    INTERNAL = "internal"
    SEW = "sew"
    CUTOUT = "cutout"
    STRIPE = "stripe"
    PLAID = "plaid"
    GRADE_REFERENCE = "grade-reference"
    ALTERNATE_GRADE_REFERENCE = "alternate-grade-reference"
    VALIDATION = "validation"
    TEXT = "text"
    NAME = "name"
    SIZE = "size"
    REFERENCE = "reference"  # test squares, scale bars, legends: not part of any piece
    FRAME = "frame"  # page borders and backgrounds
    DECORATION = "decoration"  # drawn by our own writer for the eye only


#: Words in order; "_" joins what may stand apart, together or with a hyphen. The longest match
#: wins, so "cut line" is found before "cut".
_PHRASES: Final[dict[Role, str]] = {
    Role.CUT: """cut_line cutting_line cut_lines cutting_lines cutting_edge cut_edge cutting cut
        seam_allowance seam_allowances allowance_line allowance_lines schnittkante schnittlinie
        schneidelinie nahtzugabe ligne_de_coupe linea_de_corte""",
    Role.SEAM: """seam_line seam_lines sewing_line sewing_lines sew_line sew_lines stitching_line
        stitching_lines stitch_line stitch_lines seam seams stitching stitch sewing sew nahtlinie
        naht ligne_de_couture linea_de_costura side_seam shoulder_seam""",
    Role.OUTLINE: "outline outlines contour contours outer_line boundary perimeter umriss kontur",
    Role.NOTCH: """notch notches slit_notch v_notch t_notch u_notch castle_notch check_notch
        balance_mark balance_marks balance_point match_point matching_mark matching_marks knips
        knipse passzeichen cran crans piquete piquetes""",
    Role.GRAIN: """grain_line grain_lines grain straight_grain straight_of_grain warp_direction
        fadenlauf droit_fil hilo grain_arrow""",
    Role.FOLD: """fold_line fold_lines fold on_fold on_the_fold place_on_fold place_on_the_fold
        cut_on_fold cut_on_the_fold fold_edge stoffbruch bruch bruchkante pliure doblez""",
    Role.DART: """dart darts dart_leg dart_legs dart_line dart_lines abnaeher abnäher pince pinces
        pinza""",
    Role.DRILL: """drill_hole drill_holes drill drills drill_mark drill_marks punch_hole
        punch_holes awl_mark awl_marks bohrloch bohrung""",
    Role.CUTOUT: "cut_out cut_outs cutout cutouts inner_cut ausschnitt_innen",
    Role.SEW: """internal_seam internal_seam_line internal_stitching topstitch topstitching
        top_stitching""",
    Role.STRIPE: "stripe stripes stripe_line stripe_lines",
    Role.PLAID: "plaid plaids plaid_line plaid_lines check_line",
    Role.GRADE_REFERENCE: "grade_reference grade_reference_line grade_line grading_line",
    Role.ALTERNATE_GRADE_REFERENCE: "alternate_grade_reference alternate_grade_reference_line",
    Role.VALIDATION: "validation validation_curve quality_validation quality_validation_curve",
    Role.INTERNAL: """internal internal_line internal_lines internals inner_line inner_lines inside
        marking markings marking_line placement placement_line pocket_placement button buttons
        button_hole button_holes buttonhole buttonholes pleat pleats pleat_line tuck tucks quilting
        waist_line bust_line hip_line elbow_line knee_line bicep_line biceps_line chest_line
        construction construction_line construction_lines guide_line guide_lines innenlinie
        hilfslinie hilfslinien""",
    Role.REFERENCE: """test_square testsquare scale_square scale_bar scalebar scale calibration
        calibration_square ruler legend title_block key_box check_square measuring_square
        kontrollquadrat testquadrat massstab carre_de_controle""",
    Role.FRAME: """frame page page_frame page_border border background canvas artboard sheet
        page_outline paper rahmen hintergrund seite""",
    Role.NAME: "piece_name name_text",
    Role.TEXT: "text texts label labels annotation annotations caption captions notes lettering",
}  # fmt: skip

_NEUTRAL = """line lines layer layers mark marks group groups of the on all and a set path paths
    curve curves inner outer main piece pieces pattern patterns part parts drawing plain solid
    dashed dotted thin thick black red blue green grey gray size sizes left right top bottom
    der die das de la le el ebene linien linie calque capa"""
#: Words that may stand beside a role without making it a name ("front" is a name, these are not).
NEUTRAL: Final = frozenset(_NEUTRAL.split())

_GENERIC = """layer layers group groups path paths shape shapes object objects compound clip vector
    vectors rectangle polygon ellipse polyline curve curves line lines drawing page design artwork
    canvas pattern patterns piece pieces part parts outline outlines image untitled unnamed default
    ebene calque capa livello gruppe groupe grupo pfad form objekt objet element elements
    sheet nest nested flat sizes base svg root document file union subtract intersect exclude mask
    use copy clone symbol item fill stroke main content all everything model blocks"""
#: Labels that say nothing: what programs call a thing when nobody named it.
GENERIC: Final = frozenset(_GENERIC.split())

#: Notch words -> the type that they state.
NOTCH_TYPES: Final = {
    "slit": "slit", "v": "v", "t": "t", "u": "u", "castle": "castle", "check": "check",
    "box": "castle",
}  # fmt: skip


def _table() -> dict[tuple[str, ...], Role]:
    out: dict[tuple[str, ...], Role] = {}
    for role, words in _PHRASES.items():
        for phrase in words.split():
            parts = tuple(phrase.split("_"))
            out[parts] = role
            if len(parts) > 1:
                out[("".join(parts),)] = role
    return out


PHRASES: Final = _table()
LONGEST_PHRASE: Final = max(map(len, PHRASES))

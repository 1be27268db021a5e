"""A drawing by the sewn-products standard, from placed content to a Pattern."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.model import (
    Foreign,
    GradeRules,
    InternalKind,
    Pattern,
    Piece,
    SeamLineSource,
    Shape,
)
from seamwright.numbers import fixed
from seamwright.plugins.api import Context, Finding, Severity, Source

from ..drawing.content import Content
from ..drawing.records import Fate, Records
from ..drawing.strokes import joined
from ..options import DxfIn
from ..rules.beside import rules_beside
from .boundaries import Boundaries, close_boundaries
from .cut_notches import find_cut_notches, say_cut_notches, take_out
from .joining import JoinWishes
from .keywords import said_by
from .layers import V_NOTCH
from .measures import areas_of
from .notching import NotchFacts, notch_facts_of
from .pattern import PieceFacts, Style, pattern_of
from .shapes import Wishes, shapes_of
from .sizes import Labels, Sorted, sort_out
from .wording import KEPT, Words, sort_words

IntArray = NDArray[np.int64]

OURS = "seamwright"
"""The first comment of our writer: what its numbers mean is known."""
SEAM_IS = {"seam line: layer 1": 1, "seam line: layer 14": 14, "cut line: layer 1": 0}
"""Comments of our writer at the head of a block: which closed line is the seam line (0: none, the
boundary is a cut line). Comments are legal everywhere and no other program reads them."""


@dataclass(slots=True)
class Group:
    """One piece in one size before anything is known of it but where it stands.

    name, size   as something other than the texts states them ("" where nothing does)
    block        the block's name, row its first row (-1: none)
    plain, mirrored   how often it is placed
    """

    name: str = ""
    size: str = ""
    block: str = ""
    row: int = -1
    plain: int = 1
    mirrored: int = 0


@dataclass(slots=True)
class Drawing:
    """What comes out of a drawing."""

    pattern: Pattern
    findings: list[Finding]
    foreign: tuple[Foreign, ...] = ()
    facts: dict[str, Any] = field(default_factory=dict)


def read_standard(
    records: Records, inside: Content, loose: Content, groups: list[Group],
    layer_names: list[str], layer_role: IntArray, *, options: DxfIn, ctx: Context,
    source: Source, stem: str,
    seam_layers: dict[int, int], notch_facts: dict[int, NotchFacts],
    drill_categories: dict[int, int] | None = None, adopting: bool = True,
) -> Drawing:  # fmt: skip
    """The pattern of a drawing whose layers have the standard's meaning.

    inside       content of the groups, in mm; loose: content that belongs to none as yet (-1)
    seam_layers  group -> layer of its closed seam line, where our writer says so
    notch_facts  row -> what our writer says of the notch that it draws
    adopting     whether loose content may be given to pieces that it lies in
    """
    findings: list[Finding] = []
    joins = JoinWishes(float(options.join), options.duplicates == "report")
    groups = list(groups)
    if adopting and (loose.strokes.n or loose.points.n or _speak_of_pieces(loose)):
        from .adopt import adopt  # noqa: PLC0415 - needs shapely

        taken = adopt(loose, inside, layer_role, len(groups), joins)
        findings += taken.findings
        loose = taken.content
        groups += [Group() for _ in range(taken.groups - len(groups))]
    whole, homeless = _united(inside, loose)
    foreign = _keep_homeless(records, homeless, findings)
    words = sort_words(whole.texts, layer_names, _comments_in(records, "TEXT"))
    labels = [_label(group, words, i) for i, group in enumerate(groups)]
    provisional = [e.name or e.block or f"piece-{i + 1}" for i, e in enumerate(labels)]
    bounds = close_boundaries(
        whole.strokes, layer_role[whole.strokes.layer], len(groups),
        wishes=joins, names=provisional, seam_layers=seam_layers,
    )  # fmt: skip
    findings += bounds.findings
    rules = rules_beside(source, words.style, options, records.frame.comments)
    findings += rules.findings
    sample = options.base_size or words.style.get("Sample Size", "") or rules.sample
    areas = np.abs(areas_of(bounds.strokes))
    by_area = [float(areas[b]) if b >= 0 else 0.0 for b in bounds.boundary.tolist()]
    sorting = sort_out(labels, sample=sample, known=rules.sizes, areas=by_area)
    findings += sorting.findings
    _say_without(bounds, sorting, len(groups), findings)
    whole, bounds, layer_names, layer_role = _cut_notches(
        whole, bounds, layer_names, layer_role, sorting, options, findings
    )
    said_seam = {g for g, layer in seam_layers.items() if layer}
    if options.boundary == "seam line":
        said_seam = set(range(len(groups)))
    wishes = Wishes(
        snap=float(options.snap),
        corner_threshold=float(options.corner),
        depth_group=options.notch_depth,
        angles=options.notch_angle,
        said_seam=said_seam,
    )
    shaped = shapes_of(
        whole, bounds, layer_role[whole.points.layer],
        names=sorting.names, sizes=sorting.sizes, layer_names=layer_names,
        words={g: w for g, w in words.groups.items() if g >= 0},
        grade_marks=[m for m in words.grades if m.group >= 0], notch_facts=notch_facts,
        drill_categories={**_drill_categories(records), **(drill_categories or {})}, wishes=wishes,
    )  # fmt: skip
    ours = OURS in records.frame.comments
    findings += [f for f in shaped.findings if not (ours and f.code == "notch.depth-group")]
    if not shaped.shapes:
        findings.append(_no_piece(whole, homeless, ctx))
    shapes = _finished(shaped.shapes, options, sorting, findings)
    _say_cut_lines(shapes, findings)
    _say_folds(shapes, sorting, findings)
    settled = rules.settle(shapes, sorting.names, sorting.base, findings)
    style = Style(
        name=words.style.get("Style Name", "") or stem,
        sizes=_present(sorting, shapes),
        base=sorting.base,
        notes=_notes(words, settled, sorting.base),
        rules=settled,
        foreign=(*_style_texts(words, findings), *rules.foreign),
    )
    facts = {g: _facts(groups[g], words, g) for g in shapes}
    pattern = pattern_of(shapes, sorting.names, facts, style, findings)
    if not shapes:
        pattern = pattern.but(sizes=(), base_size="")
    if words.empty:
        findings.append(
            Finding(
                code="dxf.text-empty",
                severity=Severity.NOTE,
                message=f"{words.empty} texts hold no letters; they are left out",
                measured=float(words.empty),
            )
        )
    said = {
        "style": {**words.style, **words.other},
        "pieces": {piece.name: _piece_facts(piece) for piece in pattern.pieces},
        "rule_table": rules.facts(settled),
        "aside": [f"{f.where}: {f.data[:200]}" for f in (*style.foreign, *foreign)][:1000],
    }
    return Drawing(pattern, findings, foreign, said)


def _piece_facts(piece: Piece) -> dict[str, Any]:
    """What a file says of a piece beside its outline: for `info`."""
    shapes = piece.shapes
    lines = Counter(line.kind.value for s in shapes for line in s.internal_lines)
    notches = Counter(n.type.value for s in shapes for n in s.notches)
    return {
        "right": piece.quantity[0],
        "left": piece.quantity[1],
        "material": piece.material,
        "category": piece.category,
        "flags": {key: value for s in shapes for key, value in s.flags},
        "half_at_a_fold": any(s.mirrored_half for s in shapes),
        "cut_line": any(s.cut_line is not None for s in shapes),
        "inner_lines": dict(lines),
        "notches": dict(notches),
        "curve_points": sum(len(s.curve_points) for s in shapes),
        "rules": sorted({g.rule for s in shapes for g in s.grade_points}),
        "kept_aside": [f"{f.where}: {f.data[:100]}" for s in shapes for f in s.foreign
                       if "points" in f.where][:50],
    }  # fmt: skip


def _cut_notches(
    whole: Content, bounds: Boundaries, layer_names: list[str], layer_role: IntArray,
    sorting: Sorted, options: DxfIn, findings: list[Finding],
) -> tuple[Content, Boundaries, list[str], IntArray]:  # fmt: skip
    """Notches cut into outlines: told, and taken out if asked."""
    found = find_cut_notches(bounds)
    if not found.n:
        return whole, bounds, layer_names, layer_role
    out = options.cut_notches == "take out"
    findings += say_cut_notches(found, bounds.strokes, sorting.names, sorting.sizes, out)
    if not out:
        return whole, bounds, layer_names, layer_role
    names = [*layer_names, str(V_NOTCH)]
    roles = np.append(layer_role, V_NOTCH)
    bounds, points = take_out(
        found, bounds, whole.points, layer_role[whole.points.layer], len(layer_names)
    )
    return replace(whole, points=points), bounds, names, roles


def _no_piece(whole: Content, homeless: Content, ctx: Context) -> Finding:
    """Nothing closed was found: an error that states how large the drawing is."""
    places = np.concatenate(
        [c.strokes.segments.reshape(-1, 2) for c in (whole, homeless)]
        + [c.points.xy for c in (whole, homeless)]
    )
    size = ""
    if len(places):
        width, height = np.ptp(places, axis=0).tolist()
        size = f", {ctx.length(width)} wide and {ctx.length(height)} high,"
    return Finding(
        code="dxf.no-piece",
        severity=Severity.ERROR,
        message=f"the drawing{size} holds no piece: no line in it closes, or none on layer 1",
        hint='if layers have no meaning in it, say layers = "plain"; if lines do not meet, '
        "raise join",
    )


def _notes(words: Words, rules: GradeRules | None, base: str) -> tuple[tuple[str, str], ...]:
    """Style data that no field of the pattern holds."""
    held = {"Style Name", "Units", "Version"}
    if words.style.get("Sample Size", "") == base:
        held.add("Sample Size")
    if rules is not None and words.style.get("Grade Rule Table", "") == rules.name:
        held.add("Grade Rule Table")
    notes = [(k, v) for k, v in words.style.items() if k not in held]
    return (*notes, *words.other.items())


def _comments_in(records: Records, *types: str) -> dict[int, str]:
    """Comments inside entities of these types: row -> the first comment."""
    if not records.frame.comments:
        return {}
    found = records.raws(999, records.rows_of(*types))
    return {row: records.lettering.text(v).strip() for row, v in found.items()}


def block_comments(records: Records, groups: list[Group]) -> dict[int, int]:
    """Group -> layer of its seam line (0: none), from the comments at the heads of blocks."""
    comments = _comments_in(records, "BLOCK")
    return {
        i: SEAM_IS[comments[group.row]]
        for i, group in enumerate(groups)
        if comments.get(group.row) in SEAM_IS
    }


def point_comments(records: Records) -> dict[int, NotchFacts]:
    """Notches of which a comment of our writer says what they are."""
    out = {}
    for row, text in _comments_in(records, "POINT").items():
        if text in ("slit", "v"):
            out[row] = NotchFacts(kind=text)
        elif text.startswith("notch "):
            out[row] = notch_facts_of(text.removeprefix("notch "))
    return out


def _speak_of_pieces(loose: Content) -> bool:
    """Whether texts outside any block speak of a piece."""
    return any(t.group < 0 and said_by(t.text, t.tag).kind == "piece" for t in loose.texts)


def _united(inside: Content, loose: Content) -> tuple[Content, Content]:
    """Content of all groups in one, ordered by group; and what belongs to none."""
    home_s, home_p = loose.strokes.group >= 0, loose.points.group >= 0
    strokes, points = inside.strokes, inside.points
    if home_s.any():
        both = joined([strokes, loose.strokes.picked(np.flatnonzero(home_s))])
        strokes = both.picked(np.lexsort((both.row, both.group)))
    if home_p.any():
        extra = loose.points.picked(np.flatnonzero(home_p))
        merged = {
            name: np.concatenate((getattr(points, name), getattr(extra, name)))
            for name in ("xy", "z", "thickness", "angle", "category", "layer", "row", "group")
        }
        points = replace(points, **merged)
        points = points.picked(np.lexsort((points.row, points.group)))
    texts = [*inside.texts, *loose.texts]
    rest = Content(
        loose.strokes.picked(np.flatnonzero(~home_s)), loose.points.picked(np.flatnonzero(~home_p)),
        [],
    )  # fmt: skip
    return Content(strokes, points, texts), rest


def _drill_categories(records: Records) -> dict[int, int]:
    """Row -> the category that a comment of our writer gives a drill hole."""
    out = {}
    for row, text in _comments_in(records, "POINT").items():
        head, _, value = text.partition(": ")
        if head == "drill category" and value.isdigit():
            out[row] = int(value)
    return out


def _keep_homeless(records: Records, rest: Content, findings: list[Finding]) -> tuple[Foreign, ...]:
    """Strokes and points in no piece: kept as foreign data and said."""
    rows = np.union1d(rest.strokes.row, rest.points.row).astype(np.int64)
    if not rows.size:
        return ()
    kept = []
    for row in rows[:2000].tolist():
        data = "\n".join(
            f"{code}\n{value.decode('utf-8', 'replace')}" for code, value in records.tags_of(row)
        )
        where = f"{records.type_of(row)} on layer {records.layer_of(row)}"
        kept.append(Foreign(format="dxf", where=where, data=data))
    records.fate[rows] = Fate.KEPT
    records.fate[rows[2000:]] = Fate.DROPPED
    places = np.concatenate((rest.strokes.starts, rest.points.xy))
    findings.append(
        Finding(
            code="dxf.homeless",
            severity=Severity.WARNING,
            message=f"{rows.size} lines and points lie in no piece; "
            + ("they are kept aside" if rows.size <= 2000 else "2000 of them are kept aside"),
            line=records.line(int(rows[0])),
            x=float(places[0, 0]),
            y=float(places[0, 1]),
            measured=float(rows.size),
            hint="look whether an outline is missing",
        )
    )
    return tuple(kept)


def _label(group: Group, words: Words, number: int) -> Labels:
    said = words.groups[number].fields if number in words.groups else {}
    name, size = group.name or said.get("name", ""), group.size or said.get("size", "")
    return Labels(name, size, group.block)


def _facts(group: Group, words: Words, number: int) -> PieceFacts:
    said = words.groups[number].fields if number in words.groups else {}
    return PieceFacts(
        said.get("quantity", ""), said.get("material", ""), said.get("category", ""),
        (group.plain, group.mirrored),
    )  # fmt: skip


def _say_without(bounds: Boundaries, sorting: Sorted, groups: int, findings: list[Finding]) -> None:
    for group in np.flatnonzero(bounds.boundary < 0).tolist():
        if group < groups:
            findings.append(
                Finding(
                    code="outline.missing",
                    severity=Severity.ERROR,
                    message="the block holds no outline, closed or open; it is left out",
                    piece=sorting.names[group],
                    size=sorting.sizes[group],
                    hint="ask the sender for the piece",
                )
            )


def _present(sorting: Sorted, shapes: dict[int, Shape]) -> tuple[str, ...]:
    here = {s.size for s in shapes.values()}
    return tuple(s for s in sorting.order if s in here)


def _finished(
    shapes: dict[int, Shape], options: DxfIn, sorting: Sorted, findings: list[Finding]
) -> dict[int, Shape]:
    """Shapes after what the user asked for: allowance, unfolding."""
    if options.allowance is None and not options.unfold:
        return shapes
    from .wishes import finish  # noqa: PLC0415 - only on request

    return finish(shapes, options, sorting.names, findings)


def _say_cut_lines(shapes: dict[int, Shape], findings: list[Finding]) -> None:
    count = sum(s.seam_line_source is SeamLineSource.CUT_LINE for s in shapes.values())
    if count:
        findings.append(
            Finding(
                code="seam-line.missing",
                severity=Severity.WARNING,
                message=f"{count} of {len(shapes)} pieces (counted in every size) give a cut line "
                "and no seam line: the cut line stands in for it, and seams walked on it are "
                "wrong by what the allowance adds in curves",
                measured=float(count),
                hint='state allowance = "10 mm", or boundary = "seam line" if layer 1 is the seam '
                "line",
            )
        )


def _say_folds(shapes: dict[int, Shape], sorting: Sorted, findings: list[Finding]) -> None:
    """Pieces whose text says that they lie on a fold, while no line shows where."""
    told: set[str] = set()
    for group, shape in shapes.items():
        says = dict(shape.flags).get("fold", "").strip().upper().startswith("Y")
        drawn = any(line.kind is InternalKind.FOLD for line in shape.internal_lines)
        name = sorting.names[group]
        if says and not drawn and name not in told:
            told.add(name)
            findings.append(
                Finding(
                    code="fold.no-line",
                    severity=Severity.WARNING,
                    message="its text says that it is cut on the fold, and no line shows where",
                    piece=name,
                    hint="the piece may be one half: look at the picture",
                )
            )


def _style_texts(words: Words, findings: list[Finding]) -> tuple[Foreign, ...]:
    """Texts outside any piece: those that became style data, and those that say nothing of it."""
    if -1 not in words.groups:
        return ()
    out = list(words.groups[-1].kept)
    aside = words.groups[-1].texts
    for text in aside:
        numbers = (*text.at, text.height, text.rotation)
        data = " ".join(fixed(n) for n in numbers) + " " + text.text
        out.append(Foreign(format="dxf", where=KEPT + text.layer, data=data))
    if aside:
        shown = ", ".join(f'"{t.text[:40]}"' for t in aside[:6]) + (
            " ..." if len(aside) > 6 else ""
        )
        findings.append(
            Finding(
                code="dxf.text-aside",
                severity=Severity.NOTE,
                message=f"{len(aside)} texts stand in no piece and are kept aside: {shown}",
                measured=float(len(aside)),
            )
        )
    return tuple(out)

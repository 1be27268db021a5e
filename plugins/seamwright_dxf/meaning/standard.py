"""A drawing by the sewn-products standard, from placed content to a Pattern."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seamwright.model import Foreign, Pattern, SeamLineSource, Shape
from seamwright.plugins.api import Context, Finding, SeamwrightError, Severity, Source

from ..drawing.content import Content
from ..drawing.records import Fate, Records
from ..drawing.strokes import joined
from ..options import DxfIn
from ..rules.beside import rules_beside
from .boundaries import Boundaries, areas_of, close_boundaries
from .pattern import PieceFacts, Style, pattern_of
from .pieces import Found
from .shapes import Wishes, points_text, shapes_of
from .sizes import Labels, Sorted, sort_out
from .wording import Words, sort_words

IntArray = NDArray[np.int64]

SEAM_COMMENT = "layer 1 holds the seam line"
"""A comment of our writer: the boundary is the seam line. Comments are legal everywhere and read
by nobody else."""


@dataclass(slots=True)
class Drawing:
    """What comes out of a drawing."""

    pattern: Pattern
    findings: list[Finding]
    foreign: tuple[Foreign, ...] = ()
    facts: dict[str, Any] = field(default_factory=dict)


def read_standard(
    records: Records, content: tuple[Content, Content], found: Found, layer_role: IntArray, *,
    options: DxfIn, ctx: Context, source: Source, stem: str,
) -> Drawing:  # fmt: skip
    """The pattern of a drawing whose layers have the standard's meaning."""
    inside, loose = content
    findings: list[Finding] = []
    groups = len(found.pieces)
    if loose.strokes.n or loose.points.n:
        from .adopt import adopt  # noqa: PLC0415 - needs shapely

        taken = adopt(loose, inside, layer_role, groups, tolerance=float(options.join))
        findings += taken.findings
        loose, groups = taken.content, taken.groups
    whole, homeless = _united(inside, loose)
    foreign = _keep_homeless(records, homeless, layer_role, findings)
    words = sort_words(whole.texts, records.layer_names)
    labels = _labels(found, words, groups)
    provisional = [e.name or e.block or f"piece-{i + 1}" for i, e in enumerate(labels)]
    role = layer_role[whole.strokes.layer]
    bounds = close_boundaries(
        whole.strokes, role, groups, tolerance=float(options.join), names=provisional
    )
    findings += bounds.findings
    role = bounds.role
    rules = rules_beside(source, words.style, options, ctx)
    findings += rules.findings
    sample = options.base_size or words.style.get("Sample Size", "") or rules.sample
    areas = np.abs(areas_of(bounds.strokes))
    by_area = [float(areas[b]) if b >= 0 else 0.0 for b in bounds.boundary.tolist()]
    sorting = sort_out(labels, sample=sample, known=rules.sizes, areas=by_area)
    findings += sorting.findings
    _say_without(bounds, sorting, groups, findings)
    wishes = Wishes(
        snap=float(options.snap),
        corner_threshold=float(options.corner),
        depth_group=options.notch_depth,
        angles=options.notch_angle,
        boundary_is_seam=options.boundary == "seam line",
        said_seam=options.boundary == "auto" and SEAM_COMMENT in records.frame.comments,
    )
    shaped = shapes_of(
        whole, bounds, role, layer_role[whole.points.layer],
        names=sorting.names, sizes=sorting.sizes, layer_names=records.layer_names,
        texts={g: w.texts for g, w in words.groups.items() if g >= 0},
        flags={g: tuple(w.flags) for g, w in words.groups.items() if g >= 0},
        grade_marks=words.grades, notch_kinds=_notch_kinds(records), wishes=wishes,
    )  # fmt: skip
    findings += shaped.findings
    if not shaped.shapes:
        raise SeamwrightError.of(
            "dxf.no-piece",
            "the drawing holds no piece: nothing closed stands on layer 1",
            file=ctx.file,
            hint='if the layers mean something else, say layers = "plain"',
        )
    shapes = _finished(shaped.shapes, options, sorting, findings)
    _say_cut_lines(shapes, findings)
    settled = rules.settle(shapes, sorting.names, sorting.base, findings)
    style = Style(
        name=words.style.get("Style Name", "") or stem,
        sizes=_present(sorting, shapes),
        base=sorting.base,
        notes=tuple(words.style.items()),
        rules=settled,
        foreign=(*_style_texts(words, findings), *rules.foreign),
    )
    facts = {g: _facts(found, words, g) for g in shapes}
    pattern = pattern_of(shapes, sorting.names, facts, style, findings)
    return Drawing(pattern, findings, foreign)


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


def _keep_homeless(
    records: Records, rest: Content, layer_role: IntArray, findings: list[Finding]
) -> tuple[Foreign, ...]:
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


def _labels(found: Found, words: Words, groups: int) -> list[Labels]:
    out = []
    for group in range(groups):
        said = words.groups[group].fields if group in words.groups else {}
        block = found.pieces[group].name if group < len(found.pieces) else ""
        out.append(Labels(said.get("name", ""), said.get("size", ""), block))
    return out


def _facts(found: Found, words: Words, group: int) -> PieceFacts:
    said = words.groups[group].fields if group in words.groups else {}
    copies = (1, 0)
    if group < len(found.pieces):
        place = found.pieces[group]
        copies = (place.plain, place.mirrored)
    return PieceFacts(
        said.get("quantity", ""), said.get("material", ""), said.get("category", ""), copies
    )


def _notch_kinds(records: Records) -> dict[int, str]:
    """Points on layer 4 that a comment of our writer calls a slit or a V."""
    if not records.frame.comments:
        return {}
    rows = records.rows_of("POINT")
    found = records.raws(999, rows)
    kinds = {b"slit": "slit", b"v": "v"}
    return {row: kinds[v.strip()] for row, v in found.items() if v.strip() in kinds}


def _say_without(
    bounds: Boundaries, sorting: Sorted, groups: int, findings: list[Finding]
) -> None:
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


def _style_texts(words: Words, findings: list[Finding]) -> tuple[Foreign, ...]:
    """Texts outside any piece that say nothing of the style, kept as they are."""
    if -1 not in words.groups:
        return ()
    out = []
    known = set(words.style.values())
    for text in words.groups[-1].texts:
        if text.role.value == "system" and any(v and v in text.text for v in known):
            continue
        place = f"{points_text(np.array([text.at]))} {text.height:g} {text.rotation:g}"
        out.append(
            Foreign(format="dxf", where=f"text on layer {text.layer}", data=f"{place} {text.text}")
        )
    if out:
        findings.append(
            Finding(
                code="dxf.text-aside",
                severity=Severity.NOTE,
                message=f"{len(out)} texts stand in no piece and say nothing of the style; they "
                "are kept aside",
                measured=float(len(out)),
            )
        )
    return tuple(out)

"""How many millimetres a user unit is.

Physical width / viewBox width, and nothing else, wherever width or height has a real unit. Only
where none has are pixels an inch asked for, and every assumption is a finding.
"""

from __future__ import annotations

from dataclasses import dataclass

from seamwright.plugins.api import Context, Finding, Severity

from ..options import SvgIn
from ..tree.parse import Node
from .lengths import BadLength, Measure, parse_measure, user_units
from .viewport import BadViewBox, ViewBox, parse_fit, parse_view_box, scales


@dataclass(frozen=True, slots=True)
class Scale:
    """mm a user unit of the root, and the root's viewport in user units (for percentages).

    px_per_inch   for real units inside the drawing ("5mm" in an attribute)
    page          the viewBox, or the root's size where there is none; None where unknown
    findings      what was assumed
    """

    x: float
    y: float
    width: float
    height: float
    px_per_inch: float
    page: ViewBox | None
    findings: tuple[Finding, ...]

    def times(self, factor: float) -> Scale:
        """The same, enlarged."""
        return Scale(
            self.x * factor, self.y * factor, self.width, self.height, self.px_per_inch,
            self.page, self.findings,
        )  # fmt: skip


def scale_of(root: Node, options: SvgIn, context: Context, name: str) -> Scale:
    """The scale that the root element states, or the assumption that stands in for it."""
    findings: list[Finding] = []

    def note(code: str, severity: Severity, message: str, hint: str | None = None) -> None:
        findings.append(
            Finding(
                code=code, severity=severity, message=message, hint=hint, file=name, line=root.line
            )
        )

    width = _measure(root, "width", note)
    height = _measure(root, "height", note)
    try:
        box = parse_view_box(root.attrs.get("viewBox"))
    except BadViewBox as error:
        box = None
        note("svg.attribute", Severity.ERROR, f"{error}; the drawing is read without it",
             "give viewBox four numbers: the corner, the width and the height")  # fmt: skip
    fit = parse_fit(root.attrs.get("preserveAspectRatio"))
    asked = options.px_per_inch
    ppi = asked or 96.0
    mm = 25.4 / ppi  # mm a pixel

    real_w, real_h = width.mm if width else None, height.mm if height else None
    if box is not None and (real_w or real_h):
        if width is not None and real_w is None and width.unit in ("", "px"):
            real_w = width.value * mm
        if height is not None and real_h is None and height.unit in ("", "px"):
            real_h = height.value * mm
        if real_w is None:
            assert real_h is not None
            real_w = box.width * real_h / box.height
        if real_h is None:
            real_h = box.height * real_w / box.width
        sx, sy = scales(box, real_w, real_h, fit)
        if asked is not None:
            note("scale.assumed", Severity.NOTE,
                 "the drawing states its physical size, so px-per-inch was not needed",
                 'to overrule the drawing, say how large something in it is: "known"')  # fmt: skip
        return Scale(sx, sy, box.width, box.height, ppi, box, tuple(findings))

    if box is not None:
        px_w = width.value if width and width.unit in ("", "px") else None
        px_h = height.value if height and height.unit in ("", "px") else None
        if px_w is None and px_h is None:
            sx = sy = mm
        else:
            px_w = px_w if px_w is not None else box.width * (px_h or 0.0) / box.height
            px_h = px_h if px_h is not None else box.height * px_w / box.width
            sx, sy = (s * mm for s in scales(box, px_w, px_h, fit))
        page: ViewBox | None = box
        wide, high = box.width, box.height
        stated = bool(px_w and width and width.unit == "px")
    else:
        # Without a viewBox one user unit is one CSS pixel, whatever the size of the root.
        sx = sy = mm
        wide = _or(width, 0.0, ppi)
        high = _or(height, 0.0, ppi)
        page = ViewBox(0.0, 0.0, wide, high) if wide and high else None
        stated = bool(real_w or real_h or (width and width.unit == "px"))
    if options.known:
        return Scale(sx, sy, wide, high, ppi, page, tuple(findings))
    size = ""
    if page is not None:
        size = (
            f"; the page is then {context.length(page.width * sx)} x "
            f"{context.length(page.height * sy)}"
        )
    if asked is not None:
        note("scale.assumed", Severity.NOTE, f"read at {ppi:g} px an inch, as asked{size}")
    elif stated:
        note(
            "scale.assumed",
            Severity.NOTE,
            f"the drawing counts in pixels; read at 96 px an inch (CSS){size}",
            "if that is too large or small: px-per-inch = 72 or 90, or "
            f'known = "ID 100 mm" for a line of known length{_paper(page)}',
        )
    else:
        note(
            "scale.unknown",
            Severity.WARNING,
            f"the drawing states no physical size; assumed 96 px an inch{size}",
            "check a length you know; else px-per-inch = 72 (or 90, 300), or "
            f'known = "ID 100 mm" for a line of known length{_paper(page)}',
        )
    return Scale(sx, sy, wide, high, ppi, page, tuple(findings))


_SHEETS = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A0": (841.0, 1189.0),
    "Letter": (215.9, 279.4),
}


def _paper(page: ViewBox | None) -> str:
    """A hint where the page is a usual sheet of paper at another number of pixels an inch."""
    if page is None:
        return ""
    for ppi in (90.0, 72.0, 300.0):
        sides = sorted((page.width * 25.4 / ppi, page.height * 25.4 / ppi))
        for sheet, (short, long) in _SHEETS.items():
            if abs(sides[0] - short) < 0.5 and abs(sides[1] - long) < 0.5:
                return f"; the page would be {sheet} at px-per-inch = {ppi:g}"
    return ""


def _measure(root: Node, name: str, note: object) -> Measure | None:
    text = root.attrs.get(name)
    if text is None or text.strip().lower() in ("", "auto"):
        return None
    try:
        measure = parse_measure(text)
        if not abs(measure.value) < 1e9:
            raise BadLength(f'"{text.strip()[:60]}" is larger than any drawing')
    except BadLength as error:
        assert callable(note)
        note("svg.attribute", Severity.ERROR, f"{name} of the drawing: {error}",
             f'write it as a number and a unit, {name}="210mm"')  # fmt: skip
        return None
    if measure.unit == "%":
        return measure
    if measure.unit in ("em", "rem", "ex", "ch"):
        assert callable(note)
        note("svg.relative-length", Severity.WARNING,
             f'{name}="{text.strip()}" depends on a font; taken as '
             f"{user_units(measure, relative_to=0.0):g} px",
             f'give {name} a real unit, {name}="210mm"')  # fmt: skip
        measure = Measure(user_units(measure, relative_to=0.0), "px")
    if measure.value <= 0.0:
        return None
    return measure


def _or(measure: Measure | None, default: float, px_per_inch: float) -> float:
    if measure is None or measure.unit == "%":
        return default
    return user_units(measure, relative_to=0.0, px_per_inch=px_per_inch)

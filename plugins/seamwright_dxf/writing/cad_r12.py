"""A plain drawing as R12: the dialect that nearly every machine reads.

Everything that is used is declared, names keep to R12's rules, no group code is newer. R12 has no
variable for the unit: it stands in a comment and in a square to be measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from seamwright.model import Pattern
from seamwright.plugins.api import Finding, Severity

from .. import marks
from ..options import DxfOut
from .arcs import Arcs, arcs_of
from .cad import SQUARE, Item, Tagged, items_of, square_at
from .flat import flatten_all
from .letters import lettered, unique_names
from .standard import say_letters
from .tagging import line, number, numbers, polyline, tag, tags

_SCALE_LAYER = "SCALE SQUARE 100 mm"


def write_r12(
    pattern: Pattern, options: DxfOut, *, rule_table: str, findings: list[Finding]
) -> bytes:
    """The bytes of the drawing."""
    factor = 1.0 if options.unit == "mm" else 1.0 / 25.4
    items = items_of(pattern, options, findings)
    extra = [_SCALE_LAYER] if options.scale_square else []
    layers = unique_names([*(i.layer for i in items), *extra], 31)
    for old, new in layers.items():
        if old != new and old != _SCALE_LAYER:
            findings.append(
                Finding(
                    code="name.changed",
                    severity=Severity.NOTE,
                    message=f'the layer "{old}" is called "{new}", as R12 allows',
                )
            )
    say_letters(pattern, options, findings)
    flat = flatten_all([i.curve for i in items if i.curve is not None], float(options.tolerance))
    say_flattened(sum(f.bent for f in flat), options, findings)
    curves = iter(flat)
    arcs = iter(arcs_of_items(items, options))
    body = []
    for item in items:
        layer = layers[item.layer]
        extended = _extended(item.marks, factor, options.decimals)
        if item.kind == "circle":
            x, y, r = numbers(np.array([*item.centre, item.radius]) * factor, options.decimals)
            body.append(
                tags([(0, "CIRCLE"), (8, layer), (10, x), (20, y), (30, "0"), (40, r)]) + extended
            )
        elif item.kind == "text":
            body.append(_text(item, layer, options, factor, extended))
        else:
            shape = next(curves)
            if item.curve is not None and options.curves == "arcs" and shape.bent:
                arc = next(arcs)
                body.append(
                    polyline(
                        layer, arc.points * factor, item.curve.closed, options.decimals,
                        bulges=arc.bulges, extended=extended,
                    )
                )  # fmt: skip
            elif len(shape.points) == 2 and not shape.closed:
                a, b = shape.points * factor
                body.append(line(layer, a, b, options.decimals, extended))
            else:
                body.append(
                    polyline(
                        layer, shape.points * factor, shape.closed, options.decimals,
                        extended=extended,
                    )
                )  # fmt: skip
    if options.scale_square:
        body.append(_square(pattern, layers[_SCALE_LAYER], options, factor))
    comments = [
        tag(999, "seamwright"),
        tag(999, f"unit: {'mm' if options.unit == 'mm' else 'inch'}"),
        tag(999, f"rule table deltas: {options.deltas}") if rule_table else "",
        *(
            tag(999, f"layer {new}: {marks.escaped(old)}")
            for old, new in layers.items()
            if old != new
        ),
    ]
    return "".join(
        [
            *comments,
            _section("HEADER", tags([(9, "$ACADVER"), (1, "AC1009")])),
            _section("TABLES", _tables(list(layers.values()))),
            _section("BLOCKS", ""),
            _section("ENTITIES", "".join(body)),
            tag(0, "EOF"),
        ]
    ).encode("ascii")


def arcs_of_items(items: Sequence[Item], options: DxfOut) -> list[Arcs]:
    """The arcs of every item that is bent, in order; none if they are not wanted."""
    if options.curves != "arcs":
        return []
    bent = [(i.curve, i.kept) for i in items if i.curve is not None and i.curve.kinds.any()]
    return arcs_of([c for c, _ in bent], float(options.tolerance), [k for _, k in bent])


def say_flattened(count: int, options: DxfOut, findings: list[Finding]) -> None:
    if count:
        findings.append(
            Finding(
                code="dxf.flattened",
                severity=Severity.NOTE,
                message=f"{count} curves are written as {options.curves}, nowhere farther than "
                f"{float(options.tolerance):g} mm from the true ones",
                limit=float(options.tolerance),
            )
        )


def _section(name: str, body: str) -> str:
    return tags([(0, "SECTION"), (2, name)]) + body + tag(0, "ENDSEC")


def _tables(layers: Sequence[str]) -> str:
    out = [
        tags([(0, "TABLE"), (2, "LTYPE"), (70, "1")]),
        tags([(0, "LTYPE"), (2, "CONTINUOUS"), (70, "64"), (3, "Solid line"), (72, "65"),
              (73, "0"), (40, "0")]),
        tag(0, "ENDTAB"),
        tags([(0, "TABLE"), (2, "LAYER"), (70, str(len(layers) + 1))]),
    ]  # fmt: skip
    for number_, name in enumerate(["0", *layers]):
        colour = str(1 + (number_ - 1) % 6) if number_ else "7"
        out.append(tags([(0, "LAYER"), (2, name), (70, "0"), (62, colour), (6, "CONTINUOUS")]))
    out += [
        tag(0, "ENDTAB"),
        tags([(0, "TABLE"), (2, "STYLE"), (70, "1")]),
        tags([(0, "STYLE"), (2, "STANDARD"), (70, "0"), (40, "0"), (41, "1"), (50, "0"),
              (71, "0"), (42, "5"), (3, "txt"), (4, "")]),
        tag(0, "ENDTAB"),
        tags([(0, "TABLE"), (2, "APPID"), (70, "1")]),
        tags([(0, "APPID"), (2, marks.APP), (70, "0")]),
        tag(0, "ENDTAB"),
    ]  # fmt: skip
    return "".join(out)


def _extended(found: Sequence[Tagged], factor: float, decimals: int) -> str:
    """Our marks as extended data."""
    pairs: list[tuple[int, str]] = [(1001, marks.APP)]
    for code, value in found:
        if code == 1011:
            x, y = value
            pairs += [
                (1011, number(x * factor, decimals)), (1021, number(y * factor, decimals)),
                (1031, "0"),
            ]  # fmt: skip
        else:
            pairs.append((code, str(value)))
    return tags(pairs)


def _text(item: Item, layer: str, options: DxfOut, factor: float, extended: str) -> str:
    values: Any = np.array([*item.centre, item.height])
    x, y, h = numbers(values * factor, options.decimals)
    pairs = [(0, "TEXT"), (8, layer), (10, x), (20, y), (30, "0"), (40, h),
             (1, lettered(item.text, options.letters))]  # fmt: skip
    if item.rotation:
        pairs.append((50, number(item.rotation, options.decimals)))
    pairs.append((7, "STANDARD"))
    return tags(pairs) + extended


def _square(pattern: Pattern, layer: str, options: DxfOut, factor: float) -> str:
    x, y = square_at([s for p in pattern.pieces for s in p.shapes])
    corners = SQUARE * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    corners += np.array([x, y])
    extended = _extended([(1000, f"{marks.SCALE}=1")], factor, options.decimals)
    return polyline(layer, corners * factor, True, options.decimals, extended=extended)

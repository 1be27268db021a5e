"""A plain drawing as R2010, with splines if wanted; written by ezdxf, which is loaded only here."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from ezdxf import options as library_options  # type: ignore[attr-defined]
from ezdxf.document import Drawing
from ezdxf.filemanagement import new

from seamwright.geometry import Curve
from seamwright.model import Pattern
from seamwright.numbers import fixed
from seamwright.plugins.api import Finding, Severity

from .. import marks
from ..options import DxfOut
from .cad import Item, items_of
from .cad_r12 import arcs_of_items, say_flattened
from .flat import flatten_all
from .letters import careful

_FORBIDDEN = str.maketrans(dict.fromkeys('<>/\\":;?*|=,`', "_"))


def write_r2010(
    pattern: Pattern, options: DxfOut, *, rule_table: str, findings: list[Finding]
) -> bytes:
    """The bytes of the drawing; the same pattern gives the same bytes."""
    factor = 1.0 if options.unit == "mm" else 1.0 / 25.4
    items = items_of(pattern, options, findings)
    # Otherwise time stamps and random identifiers would stand in the header.
    fixed_before = library_options.write_fixed_meta_data_for_testing
    library_options.write_fixed_meta_data_for_testing = True
    try:
        document = new("R2010", setup=False)
        document.header["$INSUNITS"] = 4 if options.unit == "mm" else 1
        document.header["$MEASUREMENT"] = 1 if options.unit == "mm" else 0
        document.appids.add(marks.APP)
        _draw(document, items, options, factor, findings)
        # The library walks a set here; sorted first, its order does not show in the bytes.
        for kind in sorted(document.entitydb.dxf_types_in_use()):
            document.classes.add_class(kind)
        stream = io.StringIO()
        document.write(stream)
    finally:
        library_options.write_fixed_meta_data_for_testing = fixed_before
    text = _plain_numbers(stream.getvalue())
    comment = f"999\nrule table deltas: {options.deltas}\n" if rule_table else ""
    return (f"999\nseamwright\n{comment}" + text).encode("utf-8")


def _draw(
    document: Drawing, items: list[Item], options: DxfOut, factor: float, findings: list[Finding]
) -> None:
    space = document.modelspace()
    names = _layer_names(document, [i.layer for i in items], findings)
    curves = [i.curve for i in items if i.curve is not None]
    flat = iter(flatten_all(curves, float(options.tolerance)))
    arcs = iter(arcs_of_items(items, options))
    bent = 0
    entity: Any
    for item in items:
        attributes = {"layer": names[item.layer]}
        if item.kind == "circle":
            entity = space.add_circle(
                _scaled(item.centre, factor), item.radius * factor, dxfattribs=attributes
            )
        elif item.kind == "text":
            attributes_of_text = {
                **attributes, "insert": _scaled(item.centre, factor),
                "height": item.height * factor, "rotation": item.rotation,
            }  # fmt: skip
            text = careful(item.text)
            entity = space.add_text(text, dxfattribs=attributes_of_text)
        else:
            shape = next(flat)
            assert item.curve is not None
            if shape.bent and options.curves == "splines":
                entity = _spline(space, item.curve, factor, attributes)
            elif shape.bent and options.curves == "arcs":
                bent += 1
                arc = next(arcs)
                places = (arc.points * factor).tolist()
                rows = [(x, y, b) for (x, y), b in zip(places, arc.bulges, strict=True)]
                entity = space.add_lwpolyline(
                    rows, format="xyb", close=item.curve.closed, dxfattribs=attributes
                )
            elif len(shape.points) == 2 and not shape.closed:
                a, b = (shape.points * factor).tolist()
                entity = space.add_line(a, b, dxfattribs=attributes)
            else:
                bent += shape.bent
                entity = space.add_lwpolyline(
                    (shape.points * factor).tolist(), close=shape.closed, dxfattribs=attributes
                )
        entity.set_xdata(
            marks.APP,
            [(c, (*_scaled(v, factor), 0.0) if c == 1011 else v) for c, v in item.marks],
        )
    say_flattened(bent, options, findings)


def _scaled(point: tuple[float, float], factor: float) -> tuple[float, float]:
    return point[0] * factor, point[1] * factor


def _spline(space: Any, curve: Curve, factor: float, attributes: dict[str, str]) -> Any:
    """One SPLINE of degree 3, exactly the curve: every joint is a knot of multiplicity 3."""
    segments = curve.segments * factor
    points = np.concatenate((segments[:1, 0], segments[:, 1:].reshape(-1, 2)))
    knots = np.repeat(np.arange(curve.n + 1, dtype=np.float64), 3)
    knots = np.concatenate(([0.0], knots, [float(curve.n)]))
    entity = space.add_spline(dxfattribs=attributes)
    entity.dxf.degree = 3
    entity.control_points = [(x, y, 0.0) for x, y in points.tolist()]
    entity.knots = knots.tolist()
    return entity


def _layer_names(document: Drawing, layers: list[str], findings: list[Finding]) -> dict[str, str]:
    """Layer -> its name in the file, declared; only signs that no layer may have are changed."""
    out: dict[str, str] = {}
    spelled: dict[str, str] = {"0": "0"}
    # Names of the pattern's own come first: "cut" and "CUT" are one layer, spelled as it was.
    for old in sorted(dict.fromkeys(layers), key=lambda n: n.isupper() and n.isascii()):
        name = old.translate(_FORBIDDEN).strip() or "X"
        key = name.casefold()
        if key not in spelled:
            document.layers.add(name, color=1 + len(spelled) % 6)
            spelled[key] = name
        out[old] = spelled[key]
        if name != old:
            findings.append(_changed(old, name))
    return out


def _changed(old: str, new: str) -> Finding:
    return Finding(
        code="name.changed",
        severity=Severity.NOTE,
        message=f'the layer "{old}" is called "{new}", as the format allows',
    )


def _plain_numbers(text: str) -> str:
    """Numbers of entities in fixed point with at most 6 decimals: importers stumble over
    exponents and long tails."""
    lines = text.split("\n")
    inside = False
    for i in range(0, len(lines) - 1, 2):
        code, value = lines[i].strip(), lines[i + 1]
        if code == "2" and lines[i - 1].strip() == "SECTION":
            inside = value.strip() == "ENTITIES"
        elif inside and code.isdigit() and _is_real(int(code)):
            lines[i + 1] = fixed(float(value))
    return "\n".join(lines)


def _is_real(code: int) -> bool:
    return 10 <= code < 60 or 140 <= code < 150 or 210 <= code < 240 or 1010 <= code < 1060

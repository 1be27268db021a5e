"""Finishing with pikepdf what reportlab drew: layers, page labels, page data, print settings."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

from seamwright.numbers import fixed

from ..layout_words import APPLICATION, GUIDE_LAYER, KINDS, PAGE_LAYER, kind_layer, size_layer

#: A page with page-piece data must state when it was changed (ISO 32000-1, 14.5). No clock: the
#: same input gives the same bytes.
_LONG_AGO: Final = "D:20000101000000Z"
_PACKING: Final = 4  # of zlib: nearly as small as the best, three times as fast


@dataclass(frozen=True, slots=True)
class PageData:
    """label: the page's name; facts: page-piece data, numbers, lists of them or names."""

    label: str
    facts: dict[str, object]


@dataclass(frozen=True, slots=True)
class Layers:
    """sizes: names in order; on: which of them are shown; used: (size, kind) drawn at all."""

    sizes: tuple[str, ...]
    on: tuple[bool, ...]
    used: frozenset[tuple[int, str]]


def size_key(size: int) -> str:
    """Resource name of a size's layer."""
    return f"S{size}"


def kind_key(size: int, kind: str) -> str:
    """Resource name of the layer of one kind of line in a size."""
    return f"S{size}k{KINDS.index(kind)}"


SHARED_KEY, PAGE_KEY, GUIDE_KEY = "Shared", "Paper", "Guide"


def finish(
    data: bytes,
    contents: Sequence[str],
    pages: Sequence[PageData],
    layers: Layers,
    *,
    base: str,
    all_sizes: Sequence[str],
) -> bytes:
    """The document with everything that reportlab has no words for."""
    with Pdf.open(BytesIO(data)) as pdf:
        properties = pdf.make_indirect(_layers(pdf, layers))
        for page, content, facts in zip(pdf.pages, contents, pages, strict=True):
            packed = zlib.compress(content.encode("latin-1"), _PACKING)
            page.Contents = Stream(pdf, packed, Filter=Name.FlateDecode)
            page.Resources.Properties = properties
            page.LastModified = String(_LONG_AGO)
            page.PieceInfo = Dictionary(
                {
                    APPLICATION: Dictionary(
                        LastModified=String(_LONG_AGO), Private=_private(facts.facts)
                    )
                }
            )
        pdf.Root.PageLabels = Dictionary(
            Nums=Array([v for i, p in enumerate(pages) for v in (i, Dictionary(P=String(p.label)))])
        )
        pdf.Root.ViewerPreferences = Dictionary(
            PrintScaling=Name("/None"),
            DisplayDocTitle=True,
        )
        pdf.Root.PageMode = Name.UseOC if len(layers.sizes) > 1 else Name.UseNone
        pdf.docinfo[Name("/SeamwrightSizes")] = Array([String(s) for s in all_sizes])
        pdf.docinfo[Name("/SeamwrightBase")] = String(base)
        out = BytesIO()
        pdf.save(
            out,
            deterministic_id=True,
            min_version="1.6",
            compress_streams=True,
            recompress_flate=False,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
        )
        return out.getvalue()


def _layers(pdf: Pdf, layers: Layers) -> Dictionary:
    """Optional content groups, their tree and their state; gives the resource names."""

    def group(name: str) -> Any:
        return pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String(name)))

    count = len(layers.sizes)
    named: dict[str, Any] = {}
    order: list[Any] = []
    groups, off = [], []
    for i, size in enumerate(layers.sizes):
        top = group(size_layer(size, count))
        named["/" + size_key(i)] = top
        below = []
        for kind in KINDS:
            if (i, kind) in layers.used:
                made = group(kind_layer(size, kind, count))
                named["/" + kind_key(i, kind)] = made
                below.append(made)
        groups += [top, *below]
        if not layers.on[i]:
            off.append(top)
        order += [top, Array(below)] if below else [top]
    for key, name in ((PAGE_KEY, PAGE_LAYER), (GUIDE_KEY, GUIDE_LAYER)):
        named["/" + key] = group(name)
        groups.append(named["/" + key])
        order.append(named["/" + key])
    tops = [named["/" + size_key(i)] for i in range(count)]
    # What is common to all sizes shows as long as one of them does.
    named["/" + SHARED_KEY] = pdf.make_indirect(
        Dictionary(Type=Name.OCMD, OCGs=Array(tops), P=Name.AnyOn)
    )
    pdf.Root.OCProperties = Dictionary(
        OCGs=Array(groups),
        D=Dictionary(
            Name=String("Sizes"),
            BaseState=Name.ON,
            ON=Array([g for g in groups if not any(g is o for o in off)]),
            OFF=Array(off),
            Order=Array(order),
            RBGroups=Array([]),
        ),
    )
    return Dictionary(named)


def _private(facts: dict[str, object]) -> Dictionary:
    return Dictionary({f"/{key}": _object(value) for key, value in facts.items()})


def _object(value: object) -> Any:
    if isinstance(value, str):
        return Name(value)
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return pikepdf.Object.parse(fixed(value, 9).encode())
    if isinstance(value, (tuple, list)):
        return Array([_object(v) for v in value])
    raise TypeError(f"{value!r} is no page data")

"""Drawings for the SVG tests: small helpers to write and read them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from seamwright.model import Pattern, Shape
from seamwright.plugins.api import Context, Finding, Limits, ReadResult, Source
from seamwright.plugins.building import build
from seamwright_svg.options import SvgIn, SvgOut
from seamwright_svg.plugin import seamwright_formats

SVG = 'xmlns="http://www.w3.org/2000/svg"'
MORE = (
    'xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)


@dataclass(frozen=True)
class Read:
    """A drawing that was read."""

    result: ReadResult

    @property
    def pattern(self) -> Pattern:
        return self.result.pattern

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.result.findings

    @property
    def names(self) -> list[str]:
        return [p.name for p in self.pattern.pieces]

    def found(self, code: str) -> list[Finding]:
        return [f for f in self.findings if f.code == code]

    def one(self, code: str) -> Finding:
        (finding,) = self.found(code)
        return finding

    def shape(self, piece: str | None = None, size: str | None = None) -> Shape:
        """The shape of a piece (the only one by default) in a size (the base by default)."""
        found = self.pattern.piece(piece) if piece is not None else self.pattern.pieces[0]
        return found.in_size(size if size is not None else self.pattern.base_size)

    def edges(self, piece: str | None = None, size: str | None = None) -> list[float]:
        return [e.length for e in self.shape(piece, size).edges]

    def marks(
        self, piece: str | None = None, size: str | None = None
    ) -> list[tuple[str, int, float]]:
        """Notches as (type, number of the edge, mm along it)."""
        shape = self.shape(piece, size)
        starts = [float(shape.seam_line.cumulative[c.station.segment]) for c in shape.corners]
        out = []
        for notch in shape.notches:
            at = shape.seam_line.length_of(notch.station)
            edge = max((i for i, s in enumerate(starts) if s <= at + 1e-9), default=0)
            out.append((notch.type.value, edge, at - (starts[edge] if starts else 0.0)))
        return out


class Drawings:
    """Makes and reads drawings through the format's public face."""

    format = seamwright_formats()[0]

    def doc(
        self, body: str, root: str = 'width="600mm" height="600mm" viewBox="0 0 600 600"'
    ) -> str:
        """A whole document around `body`."""
        return f"<svg {SVG} {MORE} {root}>{body}</svg>"

    def read(
        self,
        data: str | bytes,
        *,
        name: str = "drawing.svg",
        limits: Limits | None = None,
        **options: Any,
    ) -> Read:
        """Reads a document (or, where it is no whole one, a document around it)."""
        if isinstance(data, str):
            if "<svg" not in data:
                data = self.doc(data)
            data = data.encode()
        assert self.format.reader is not None
        made = build(SvgIn, {k.replace("_", "-"): v for k, v in options.items()})
        context = Context(file=name, limits=limits or Limits())
        result = self.format.reader.run(Source(name=name, data=data), made, context)
        declared = {c.code for c in self.format.codes}
        plans = ("plan.", "seam.", "name.")
        for finding in result.findings:
            assert finding.code in declared or finding.code.startswith(plans), finding.code
        return Read(result)

    def write(self, pattern: Pattern, *, file: str = "out.svg", **options: Any) -> bytes:
        """The bytes of a written drawing."""
        assert self.format.writer is not None
        made = build(SvgOut, {k.replace("_", "-"): v for k, v in options.items()})
        (part,) = self.format.writer.run(pattern, made, Context(file=file)).parts
        return part.data

    def again(self, pattern: Pattern, **options: Any) -> Read:
        """Written and read again."""
        return self.read(self.write(pattern, **options))


@pytest.fixture(scope="session")
def svg() -> Drawings:
    """Makes and reads drawings."""
    return Drawings()

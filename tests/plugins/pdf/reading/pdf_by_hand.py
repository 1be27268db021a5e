"""PDFs made by hand, operator by operator."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

import pikepdf


class Paper:
    """A PDF under construction."""

    def __init__(self) -> None:
        self.pdf = pikepdf.new()
        self.ocgs: dict[str, Any] = {}

    def layer(self, name: str) -> Any:
        """An optional content group of that name."""
        if name not in self.ocgs:
            self.ocgs[name] = self.pdf.make_indirect(
                pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=pikepdf.String(name))
            )
        return self.ocgs[name]

    def page(
        self, content: str | bytes, *, size: tuple[float, float] = (595.0, 842.0),
        properties: dict[str, Any] | None = None, **entries: Any,
    ) -> Any:  # fmt: skip
        """A page of that size in points, with that content."""
        page = self.pdf.add_blank_page(page_size=size)
        data = content.encode("latin-1") if isinstance(content, str) else content
        page.obj.Contents = self.pdf.make_stream(data)
        resources = pikepdf.Dictionary()
        if properties:
            resources.Properties = pikepdf.Dictionary({f"/{k}": v for k, v in properties.items()})
        resources.Font = pikepdf.Dictionary(
            F1=pikepdf.Dictionary(
                Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1,
                BaseFont=pikepdf.Name.Helvetica, Encoding=pikepdf.Name.WinAnsiEncoding,
            )
        )  # fmt: skip
        page.obj.Resources = resources
        for key, value in entries.items():
            page.obj[f"/{key}"] = value
        return page

    def bytes(self, **save: Any) -> bytes:
        """The file."""
        if self.ocgs and "/OCProperties" not in self.pdf.Root:
            groups = pikepdf.Array(list(self.ocgs.values()))
            self.pdf.Root.OCProperties = pikepdf.Dictionary(
                OCGs=groups, D=pikepdf.Dictionary(Order=groups)
            )
        out = BytesIO()
        self.pdf.save(out, deterministic_id="encryption" not in save, **save)
        return out.getvalue()


def mm(*numbers: float) -> str:
    """Numbers in mm as points."""
    return " ".join(f"{n * 72 / 25.4:.6f}" for n in numbers)


def rect(x: float, y: float, w: float, h: float) -> str:
    """A stroked rectangle, mm."""
    return f"{mm(x, y, w, h)} re S\n"


def poly(points: Sequence[tuple[float, float]], *, close: bool = True) -> str:
    """A stroked line through points, mm."""
    first, *rest = points
    return (
        f"{mm(*first)} m " + " ".join(f"{mm(*p)} l" for p in rest) + (" s\n" if close else " S\n")
    )

"""The PDF reader's door, and a page's lines before anybody asks what they are for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from pdf_by_hand import Paper

from seamwright.plugins.api import Context, Limits, ReadResult, Source
from seamwright.plugins.building import build
from seamwright_pdf.options import PdfIn


@pytest.fixture
def paper() -> Paper:
    return Paper()


@pytest.fixture
def read_pdf() -> Callable[..., ReadResult]:
    def run(data: bytes, limits: Limits | None = None, **options: Any) -> ReadResult:
        from seamwright_pdf.read import read

        named = {k.replace("_", "-"): v for k, v in options.items()}
        context = Context(limits=limits or Limits())
        return read(Source(name="x.pdf", data=data), build(PdfIn, named), context)

    return run


@pytest.fixture
def drawn() -> Callable[[bytes], Any]:
    """What the first page of a file draws, before anybody asks what it is for."""

    def run(data: bytes) -> Any:
        from seamwright_pdf.reading.bounds import Bounds
        from seamwright_pdf.reading.content import Interpreter
        from seamwright_pdf.reading.document import opened
        from seamwright_pdf.reading.layers import Layers
        from seamwright_pdf.reading.pages import frame_of

        bounds = Bounds(Limits(), "x")
        with opened(data, bounds, "x") as pdf:
            page = pdf.pages[0].obj
            return Interpreter(Layers(pdf.Root), bounds).page(page, frame_of(page).to_mm)

    return run

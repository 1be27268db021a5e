"""Plots read and written through the format's own door, and a second interpreter as judge."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from ezdxf.addons.hpgl2 import backend, interpreter, plotter, tokenizer

from seamwright.model import Pattern
from seamwright.plugins.api import Context, Limits, ReadResult, Source, WriteResult
from seamwright.plugins.building import build
from seamwright_hpgl.options import HpglIn, HpglOut
from seamwright_hpgl.reading.machine import Machine
from seamwright_hpgl.reading.tokens import instructions

Polyline = np.ndarray


def judged(data: bytes) -> list[Polyline]:
    """What the interpreter of ezdxf draws, in plotter units, stretch by stretch."""
    if not data.startswith(b"\x1b"):
        data = b"\x1b%1B" + data
    recorder = backend.Recorder()
    device = plotter.Plotter(recorder)
    interpreter.Interpreter(device).run(tokenizer.hpgl2_commands(data))
    out = []
    for kind, _, drawn in recorder.player().recordings():
        paths = [drawn] if kind is backend.RecordType.POLYLINE else drawn
        for path in paths:
            points = (
                path.vertices() if kind is backend.RecordType.POLYLINE else path.flattening(0.05)
            )
            out.append(np.array([(p.x, p.y) for p in points]))
    return out


@pytest.fixture
def judge() -> Callable[[bytes], list[Polyline]]:
    return judged


@pytest.fixture
def plot() -> Callable[..., Machine]:
    def run(data: bytes, most: int = 100_000) -> Machine:
        machine = Machine(most)
        machine.run(instructions(data))
        return machine

    return run


@pytest.fixture
def read_hpgl() -> Callable[..., ReadResult]:
    def run(data: bytes, limits: Limits | None = None, **options: Any) -> ReadResult:
        from seamwright_hpgl.read import read

        context = Context(limits=limits or Limits())
        return read(Source(name="x.plt", data=data), build(HpglIn, options), context)

    return run


@pytest.fixture
def write_hpgl() -> Callable[..., WriteResult]:
    def run(pattern: Pattern, **options: Any) -> WriteResult:
        from seamwright_hpgl.writing.document import write

        named = {k.replace("_", "-"): v for k, v in options.items()}
        return write(pattern, build(HpglOut, named), Context())

    return run

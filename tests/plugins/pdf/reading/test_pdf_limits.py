"""Hostile and hopeless files end soon, in little memory, with one clear word."""

from __future__ import annotations

import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pdf_by_hand import Paper, poly, rect

from seamwright.plugins.api import Guess, Head, Limits, SeamwrightError
from seamwright_pdf.plugin import seamwright_formats

_CHILD = """
import re, sys, time
from seamwright.findings import SeamwrightError
from seamwright.plugins.api import Context, Source
from seamwright_pdf.options import PdfIn
from seamwright_pdf.read import read
data = open(sys.argv[1], "rb").read()
start = time.process_time()
try:
    read(Source(name="x.pdf", data=data), PdfIn(), Context())
    code = "none"
except SeamwrightError as error:
    code = error.finding.code + "|" + (error.finding.hint or "")
peak = int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read()).group(1)) // 1024
print(code, round(time.process_time() - start, 2), peak, sep="|")
"""


def run_child(data: bytes, folder: Path) -> tuple[str, str, float, int]:
    path = folder / "x.pdf"
    path.write_bytes(data)
    out = subprocess.run(
        [sys.executable, "-c", _CHILD, str(path)], capture_output=True, text=True, check=True
    ).stdout.strip()
    code, hint, seconds, peak = out.split("|")
    return code, hint, float(seconds), int(peak)


def stream_of(paper: Paper, data: bytes, times: int = 1) -> Any:
    """A stream that is packed several times over."""
    for _ in range(times):
        data = zlib.compress(data, 9)
    stream = paper.pdf.make_stream(b"")
    stream.write(data, filter=pikepdf.Array([pikepdf.Name.FlateDecode] * times))
    return stream


def unfolds(paper: Paper) -> bytes:
    paper.page("").obj.Contents = stream_of(paper, b"0 0 m 1 1 l S\n" * 20_000_000, 2)
    return paper.bytes()


def many_filters(paper: Paper) -> bytes:
    paper.page("").obj.Contents = stream_of(paper, b"0 0 m 1 1 l S\n" * 1000, 30)
    return paper.bytes()


def itself(paper: Paper) -> bytes:
    form = paper.pdf.make_indirect(paper.pdf.make_stream(b"/X Do 0 0 m 9 9 l S"))
    form.Subtype, form.BBox = pikepdf.Name.Form, pikepdf.Array([0, 0, 9, 9])
    form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(X=form))
    paper.page("/X Do").obj.Resources.XObject = pikepdf.Dictionary(X=form)
    return paper.bytes()


def doubling(paper: Paper) -> bytes:
    inner = None
    for _ in range(27):
        form = paper.pdf.make_stream(b"/X Do /X Do" if inner is not None else b"0 0 m 9 9 l S")
        form.Subtype, form.BBox = pikepdf.Name.Form, pikepdf.Array([0, 0, 9, 9])
        if inner is not None:
            form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(X=inner))
        inner = paper.pdf.make_indirect(form)
    paper.page("/X Do").obj.Resources.XObject = pikepdf.Dictionary(X=inner)
    return paper.bytes()


def operators(paper: Paper) -> bytes:
    paper.page("").obj.Contents = stream_of(paper, b"1 w\n" * 10_000_000)
    return paper.bytes()


def saved_states(paper: Paper) -> bytes:
    paper.page("q " * 100_000 + "0 0 m 9 9 l S")
    return paper.bytes()


@pytest.mark.parametrize(
    ("make", "limit"),
    [(unfolds, "bytes"), (itself, "depth"), (doubling, "instances"), (operators, "elements"),
     (saved_states, "depth")],
)  # fmt: skip
def test_bombs(make: Callable[..., bytes], limit: str, paper: Paper, tmp_path: Path) -> None:
    code, hint, seconds, peak = run_child(make(paper), tmp_path)
    assert code == "pdf.limit" and f"--limit {limit}=" in hint
    assert peak < 300  # MB
    # The goal is 2 s on a quiet machine; the bound leaves room for a busy one.
    assert seconds < 6


def test_a_chain_of_filters_is_refused(paper: Paper, tmp_path: Path) -> None:
    code, _, seconds, peak = run_child(many_filters(paper), tmp_path)
    assert code in ("pdf.broken", "pdf.limit") and seconds < 3 and peak < 300


def test_a_limit_can_be_raised(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    paper.page(rect(10, 10, 50, 50) * 2000)
    with pytest.raises(SeamwrightError):
        read_pdf(paper.bytes(), Limits(elements=100))
    assert read_pdf(paper.bytes(), Limits(elements=10_000)).pattern.pieces


def test_locked_files_are_refused_with_a_word(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    paper.page(rect(10, 10, 50, 50))
    data = paper.bytes(encryption=pikepdf.Encryption(owner="a", user="b"))
    with pytest.raises(SeamwrightError) as error:
        read_pdf(data)
    assert error.value.finding.code == "pdf.encrypted"


def test_pictures_are_refused_with_a_word(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    page = paper.page("q 500 0 0 700 0 0 cm /I Do Q")
    image = paper.pdf.make_stream(b"\x00" * 100)
    image.Subtype, image.Width, image.Height = pikepdf.Name.Image, 10, 10
    image.ColorSpace, image.BitsPerComponent = pikepdf.Name.DeviceGray, 8
    page.obj.Resources.XObject = pikepdf.Dictionary(I=image)
    with pytest.raises(SeamwrightError) as error:
        read_pdf(paper.bytes())
    assert error.value.finding.code == "pdf.raster"
    assert "scan" in error.value.finding.message
    page.obj.Contents = paper.pdf.make_stream(f"/I Do {rect(9, 9, 99, 99)}".encode())
    assert "pdf.images" in {f.code for f in read_pdf(paper.bytes()).findings}


def test_nothing_is_run_or_opened(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    paper.page(rect(10, 10, 80, 50))
    root = paper.pdf.Root
    root.OpenAction = pikepdf.Dictionary(
        S=pikepdf.Name.Launch, F=pikepdf.String("/bin/true"), Type=pikepdf.Name.Action
    )
    root.Names = pikepdf.Dictionary(JavaScript=pikepdf.Dictionary(Names=pikepdf.Array([])))
    events: list[str] = []
    import seamwright_pdf.read  # noqa: F401

    data = paper.bytes()
    read_pdf(data)  # what is imported on first use is imported now
    sys.addaudithook(lambda name, _: events.append(name))
    found = read_pdf(data)
    seen = list(events)
    assert not {e for e in seen if e.startswith(("socket", "subprocess", "os.exec", "open"))}
    assert "pdf.active" in {f.code for f in found.findings}


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9, 0.99])
def test_what_is_cut_off_or_damaged_is_told(
    place: float, paper: Paper, read_pdf: Callable[..., Any]
) -> None:
    paper.page(poly([(10, 10), (80, 10), (80, 70)]))
    data = paper.bytes()
    for broken in (data[: int(place * len(data))], data.replace(b"obj", b"xbj", 2)):
        try:
            result = read_pdf(broken)
        except SeamwrightError as error:
            assert error.finding.code.startswith("pdf.")
        else:
            assert result.findings


def test_odd_boxes_and_trees(paper: Paper, read_pdf: Callable[..., Any]) -> None:
    paper.page(
        rect(10, 10, 80, 50), MediaBox=pikepdf.Array([0, 0, 0, 0]),
        CropBox=pikepdf.Array([900, 900, 950, 950]), Rotate=45, UserUnit=-3,
    )  # fmt: skip
    (piece,) = read_pdf(paper.bytes()).pattern.pieces
    assert piece.shapes[0].seam_line.length == pytest.approx(260, abs=1e-4)


def test_sniff() -> None:
    (form,) = seamwright_formats()
    for data, guess in (
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", Guess.YES), (b"hello", Guess.NO), (b"IN;SP1;", Guess.NO)
    ):  # fmt: skip
        assert form.sniff(Head(name="x", suffix=".pdf", data=data)) is guess

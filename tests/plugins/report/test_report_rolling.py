"""Rolling one side of a seam along the other, held to the browser's own geometry: the drawn edges
touch at the length that is walked, with one tangent, the pieces on either side of it."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, build_shape
from seamwright.model.marking import Dart
from seamwright.plan import apply_plan, load_plan, walk
from seamwright.plugins.api import Record, StepRecord
from seamwright.testing.strategies import patterns

# For one seam at some places of its slider: how far apart the two drawn edges are where as much of
# each is walked, the angle between their tangents, and which side of it each piece lies on. Only
# the browser's path functions are used, nothing of the page's script.
PROBE = """(async (article, shares, eased) => {
  const here = document.querySelector(article), svg = here.querySelector("svg.roll");
  if (eased) here.querySelector("input[value=eased]").click();
  const slider = here.querySelector("input[type=range]"), out = [];
  for (const share of shares) {
    slider.value = Math.round(share * slider.max);
    slider.dispatchEvent(new Event("input"));
    const side = (name, walked) => {
      const group = svg.querySelector(`g.${name}.edges`), path = group.querySelector(".edge");
      const m = group.transform.baseVal.consolidate().matrix, whole = path.getTotalLength();
      const at = (s) => { const p = path.getPointAtLength(Math.min(Math.max(s, 0), whole));
        return [m.a * p.x + m.c * p.y + m.e, m.b * p.x + m.d * p.y + m.f]; };
      const [p, a, b] = [at(walked), at(walked - 15), at(walked + 15)];
      const body = svg.querySelector(`g.${name} .body`);
      return { p, whole, t: Math.atan2(b[1] - a[1], b[0] - a[0]), body };
    };
    const { s, t } = svg.dataset, A = side("sew", +s), B = side("to", +t);
    const inside = (bodies, sign) => { // a point 2 mm to one side of the contact
      const x = A.p[0] - sign * 200 * Math.sin(B.t), y = A.p[1] + sign * 200 * Math.cos(B.t);
      return [...svg.querySelectorAll(bodies + " .body")].some((body) => {
        const p = svg.createSVGPoint(); p.x = x; p.y = y;
        const q = p.matrixTransform(body.getCTM().inverse().multiply(svg.getCTM()));
        return body.isPointInFill(q); });
    };
    out.push({ gap: Math.hypot(A.p[0] - B.p[0], A.p[1] - B.p[1]),
      turn: Math.abs(Math.atan2(Math.sin(A.t - B.t), Math.cos(A.t - B.t))) * 180 / Math.PI,
      sew: [inside("g.sew", 1), inside("g.sew", -1)], to: [inside("g.to", 1), inside("g.to", -1)],
      s: +s, t: +t, whole: [A.whole, B.whole] });
  }
  return out;
})"""


def probe(
    page: Any, number: int, shares: list[float], *, eased: bool = False
) -> list[dict[str, Any]]:
    article = f"#seam-{number + 1}"
    page.value(f"document.querySelector('{article} details.walk').open = true")
    page.until(f"document.querySelector('{article} svg.roll .contact')")
    found: list[dict[str, Any]] = page.value(
        f"{PROBE}('{article}', {shares}, {str(eased).lower()})"
    )
    return found


SHARES = [0.0, 0.07, 0.21, 0.36, 0.5, 0.63, 0.78, 0.94, 1.0]


@pytest.mark.parametrize("size", [0, 2])
@pytest.mark.parametrize("eased", [False, True])
def test_the_blouse_rolls(
    browser: Any, stepped_run: Record, tmp_path: Path, html: Callable[..., bytes],
    size: int, eased: bool,
) -> None:  # fmt: skip
    file = tmp_path / "page.html"
    file.write_bytes(html(stepped_run))
    page = browser.open(file, width=1280)
    page.click(f"label[for=s{size}]")
    new = walk(stepped_run.after)
    for number in range(len(new.seams)):
        whole = [100 * new.sew_lengths[number, size], 100 * new.to_lengths[number, size]]
        for row in probe(page, number, SHARES, eased=eased):
            assert row["gap"] < 5.0, (number, row)  # hundredths of a millimetre
            ends = min(row["s"], whole[0] - row["s"], row["t"], whole[1] - row["t"])
            if ends > 30:
                assert row["turn"] < 0.3, (number, row)
                # The pieces lie on either side of the line in which they touch.
                assert sorted(row["sew"]) == sorted(row["to"]) == [False, True], (number, row)
                assert row["sew"] != row["to"]
            if not eased:
                assert row["s"] == row["t"]
            # What is drawn is what was measured.
            assert row["whole"] == pytest.approx(whole, abs=8.0)
    assert page.complaints() == []
    page.close()


def planned(pattern: Pattern) -> Pattern:
    text = files("seamwright.demo").joinpath("data/chorus-blouse.plan.toml").read_text("utf-8")
    return apply_plan(pattern, load_plan(text, "chorus-blouse.plan.toml"))[0]


def rectangle(name: str, wide: float, tall: float, **fields: Any) -> Piece:
    corners = [(0.0, tall), (0.0, 0.0), (wide, 0.0), (wide, tall)]
    shape = build_shape(
        size="M",
        outline=Curve.polyline(corners, closed=True),
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["a", "b", "c", "d"],
        **fields,
    )
    return Piece(name=name, shapes=(shape,))


def run(*parts: tuple[str, str, str]) -> Run:
    return Run(parts=tuple(RunPart(piece=p, marks=(a, b)) for p, a, b in parts))


def test_over_a_closed_dart_and_from_piece_to_piece(
    browser: Any, tmp_path: Path, html: Callable[..., bytes]
) -> None:
    """A band along the top of a skirt with a dart and of a yoke beside it: it runs straight on."""
    skirt = rectangle("Skirt", 300.0, 600.0)
    (shape,) = skirt.shapes
    top = next(e for e in shape.edges if {e.start, e.end} == {"d", "a"})
    start = float(shape.seam_line.cumulative[shape.corners[top.number].station.segment])
    left, right = (shape.seam_line.station_at(start + s) for s in (140.0, 165.0))
    dart = Dart(name="dart", left=left, right=right, apex=(147.5, 480.0))
    skirt = skirt.but(shapes=(shape.but(darts=(dart,)),))
    notch = Notch(name="join", station=Station(1, 0.5))
    pattern = Pattern(
        name="band",
        pieces=(
            skirt,
            rectangle("Yoke", 200.0, 120.0),
            rectangle("Band", 480.0, 30.0, notches=[notch]),
        ),
        sizes=("M",),
        base_size="M",
        seams=(
            Seam(
                name="band",
                sew=run(("Band", "b", "c")),
                to=run(("Skirt", "a", "d"), ("Yoke", "a", "d")),
            ),
        ),
    )
    walked = walk(pattern)
    assert walked.to_lengths[0, 0] == pytest.approx(475.0)  # the dart's 25 mm are stepped over
    file = tmp_path / "page.html"
    file.write_bytes(html(Record(before=pattern, after=pattern)))
    page = browser.open(file)
    rows = probe(page, 0, [0.02, 0.2, 0.33, 0.4, 0.55, 0.62, 0.8, 0.99])
    for row in rows:
        assert row["gap"] < 3.0 and row["turn"] < 0.2, row
        assert row["whole"] == pytest.approx([48_000, 47_500], abs=5.0)
        assert row["sew"] != row["to"]
    # Three bodies on the still side: the skirt before and after its dart, and the yoke.
    assert page.value("document.querySelectorAll('svg.roll g.to .body').length") == 3
    edge = page.value(
        "(p => [0, .2, .4, .6, .8, 1].map(k => p.getPointAtLength(k * p.getTotalLength()))"
        ".map(q => [q.x, q.y]))(document.querySelector('svg.roll g.to.edges .edge'))"
    )
    assert np.ptp(np.array(edge)[:, 1]) < 3.0  # a straight line, all the way
    assert page.complaints() == []
    page.close()


def test_a_whole_armhole(browser: Any, tmp_path: Path, html: Callable[..., bytes]) -> None:
    """Back and front are drawn as one half each: walked as one run, both lie on the same side."""
    drawn = planned(blouse(["C"]))
    seam = Seam(
        name="armhole",
        sew=run(("Sleeve", "underarm-back", "shoulder"), ("Sleeve", "shoulder", "underarm-front")),
        to=run(("Back", "underarm", "shoulder"), ("Front", "shoulder", "underarm")),
        meet=(("back-lower", "Back: lower"), ("front", "Front: front")),
    )
    pattern = drawn.but(seams=(seam,))
    walked = walk(pattern)
    file = tmp_path / "page.html"
    file.write_bytes(html(Record(before=pattern, after=pattern)))
    page = browser.open(file)
    for eased in (False, True):
        rows = probe(page, 0, [0.1, 0.3, 0.45, 0.55, 0.7, 0.85], eased=eased)
        assert len({tuple(row["to"]) for row in rows}) == 1
        for row in rows:
            assert row["gap"] < 5.0 and row["turn"] < 0.3, row
            assert sorted(row["to"]) == [False, True] and row["sew"] == row["to"][::-1]
            assert row["whole"] == pytest.approx(
                [100 * walked.sew_lengths[0, 0], 100 * walked.to_lengths[0, 0]], abs=8.0
            )
    assert page.complaints() == []
    page.close()


def test_a_seam_that_cannot_be_walked_in_a_size_says_so(
    browser: Any, tmp_path: Path, html: Callable[..., bytes]
) -> None:
    one, other = rectangle("One", 100.0, 50.0), rectangle("Other", 100.0, 50.0)
    bigger = one.shapes[0].but(size="L")
    pattern = Pattern(
        name="two",
        pieces=(one.but(shapes=(*one.shapes, bigger)), other),
        sizes=("M", "L"),
        base_size="M",
        seams=(Seam(name="s", sew=run(("One", "b", "c")), to=run(("Other", "b", "c"))),),
    )
    file = tmp_path / "page.html"
    file.write_bytes(html(Record(before=pattern, after=pattern)))
    page = browser.open(file)
    page.until("document.querySelector('svg.roll .contact')")
    page.click("label[for=s1]")
    page.until("document.querySelector('output.told').textContent.includes('cannot be walked')")
    assert page.value("document.querySelector('article .badge').textContent") == "not measured"
    assert page.value("document.querySelector('article input[type=range]').disabled")
    page.click("label[for=s0]")
    page.until("document.querySelector('svg.roll .contact')")
    assert page.complaints() == []
    page.close()


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(before=patterns(max_sizes=3), after=patterns(max_sizes=3))
def test_generated_styles_in_every_state(
    browser: Any, tmp_path: Path, html: Callable[..., bytes], before: Pattern, after: Pattern
) -> None:
    """One style turned into quite another one: pieces, sizes and seams that come and go. Everything
    is opened and pressed; nothing complains and nothing is drawn at no place."""
    step = StepRecord(use="any/step", kind="alteration", options={})
    file = tmp_path / "page.html"
    file.write_bytes(html(Record(before=before, after=after, steps=(step,), snapshots=(after,))))
    page = browser.open(file)
    page.value("document.querySelectorAll('details.walk').forEach(d => { d.open = true })")
    page.value("document.getElementById('combs').click()")
    for size in range(page.value("document.querySelectorAll('input[name=size]').length")):
        page.value(
            f"(e => {{ e.checked = true; e.dispatchEvent(new Event('change')) }})"
            f"(document.getElementById('s{size}')); dispatchEvent(new Event('beforeprint'))"
        )
        page.value(
            "document.querySelectorAll('article.seam input[value=eased]').forEach(e => e.click());"
            "document.querySelectorAll('input[type=range]').forEach(s => {"
            "for (const k of [0, .4, 1]) {"
            "s.value = s.max * k; s.dispatchEvent(new Event('input')) } })"
        )
    nowhere = page.value(
        "[...document.querySelectorAll('svg *')].filter(e => [...e.attributes].some("
        "a => /NaN|undefined|Infinity/.test(a.value))).map(e => e.outerHTML.slice(0, 120))"
    )
    assert nowhere == []
    assert page.complaints() == []
    page.close()

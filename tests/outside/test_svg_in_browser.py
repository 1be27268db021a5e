"""A web browser as judge of where a drawing's lines lie.

Browsers implement SVG 2 and CSS as the W3C writes them. For drawings full of nested viewports,
clones, matrices, percentages and style rules, nine points along every shape are taken from the
browser (getPointAtLength under getScreenCTM) and must lie on what was read.
"""

from __future__ import annotations

import base64
import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from seamwright.geometry import FloatArray
from seamwright.plugins.api import Context, Limits
from seamwright_svg.drawing.walk import walk
from seamwright_svg.measures.scale import scale_of
from seamwright_svg.notes import notes_for
from seamwright_svg.options import SvgIn
from seamwright_svg.reading import sheet_of
from seamwright_svg.tree.parse import parse

MM = 25.4 / 96
HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="150mm" '
    'viewBox="-10 -20 600 300"><rect id="origin" width="10" height="10"/>'
)
DRAWINGS = {
    "matrices": '<g transform="translate(50,20) rotate(20) skewX(15)">'
    '<path id="a" d="M0 0 L100 0 A50 30 20 0 1 100 80 C60 120 30 90 0 80Z"/>'
    '<circle id="b" cx="30" cy="30" r="12"/>'
    '<g transform="matrix(1.2,.3,-.4,.9,5,6) scale(2,.7)"><ellipse id="c" cx="30" cy="40" rx="22" '
    'ry="9"/><rect id="d" x="5" y="8" width="40" height="25" rx="6"/></g></g>',
    "viewports": '<svg x="30" y="40" width="200" height="100" viewBox="0 0 50 50">'
    '<rect id="a" x="5" y="5" width="40" height="20"/>'
    '<svg x="10%" y="10%" width="50%" height="50%" viewBox="10 10 30 60" '
    'preserveAspectRatio="xMinYMax slice"><circle id="b" cx="20" cy="30" r="8"/></svg>'
    '<svg preserveAspectRatio="none" viewBox="0 0 10 10" width="20" height="30">'
    '<path id="c" d="M1 1h8v8z"/></svg></svg>'
    '<rect id="e" x="10%" y="5mm" width="2in" height="30pt"/>'
    '<circle id="f" cx="50%" cy="50%" r="10%"/>'
    '<rect id="g" x="1pc" y="1cm" width="20Q" height="2em" style="font-size:10px"/>',
    "style": "<style>.t{transform:translate(20px,30px) rotate(10deg)}"
    "#z > rect{transform:scale(2)} g .h{display:none} [data-x='1']{transform:translateX(15px)}"
    "#k + circle{visibility:hidden}</style>"
    '<g class="t"><rect id="a" width="30" height="20"/><g><rect id="h" class="h" width="5" '
    'height="5"/></g></g><g id="z"><rect id="b" x="50" width="30" height="20"/></g>'
    '<rect id="c" data-x="1" x="200" y="20" width="11" height="12"/>'
    '<path id="k" d="M10 100h20v30z"/><circle id="e" r="9"/>'
    '<g style="transform:skewX(10deg) translate(1cm,5mm)">'
    '<rect id="f" x="100" y="100" width="20" height="20"/></g>',
    "path data": '<path id="a" d="m10 10 20 0 0 20t5 5 20 0q5-5 10 5T99 9v20h-5H10s5 5-10 20 '
    '30-5 20 20a25 25 -30 0 1 50-25l50-25a25 50-30 0150-25M200 100a5 5 0 0110 10z"/>'
    '<polyline id="b" points="1,2 3,4 5.5-6"/><polygon id="c" points="100 100 120 100 110 130"/>',
    "clones": '<defs><symbol id="s" viewBox="0 0 20 10"><rect x="2" y="2" width="16" height="6"/>'
    '</symbol><symbol id="s2"><rect x="2" y="2" width="16" height="6"/></symbol>'
    '<g id="gg"><path d="M0 0h40v30z"/></g><svg id="ns" viewBox="0 0 10 10" width="40" '
    'height="40"><rect width="9" height="5"/></svg></defs>'
    '<use id="u1" href="#s" x="30" y="30" width="100" height="100"/>'
    '<use id="u2" href="#s" transform="rotate(30)" x="200" y="10" width="60" height="20"/>'
    '<use id="u3" href="#gg" x="100" y="150"/><use id="u4" href="#ns" x="300" y="20"/>'
    '<use id="u5" href="#ns" x="300" y="120" width="80" height="40"/>'
    '<use id="u6" href="#s2" x="400" y="50"/>',
}
SCRIPT = """
const all = [...document.querySelectorAll('body > svg')].map(root => {
  const shapes = [], clones = [];
  for (const e of root.querySelectorAll('path,rect,circle,ellipse,polyline,polygon')) {
    if (e.closest('defs,symbol') || getComputedStyle(e).visibility != 'visible') continue;
    if (!e.checkVisibility()) continue;
    const long = e.getTotalLength(), m = e.getScreenCTM();
    const at = k => { const p = e.getPointAtLength(long * k / 8).matrixTransform(m);
                      return [p.x, p.y]; };
    shapes.push([e.id, [0,1,2,3,4,5,6,7,8].map(at)]);
  }
  for (const e of root.querySelectorAll('use')) {
    const r = e.getBoundingClientRect();
    clones.push([e.id, [r.left, r.top, r.right, r.bottom]]);
  }
  return {shapes, clones};
});
document.body.innerHTML = '<pre>' + btoa(JSON.stringify(all)) + '</pre>';
"""


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the browser says of every drawing."""
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
    program = next((p for p in map(shutil.which, names) if p), None)
    if program is None:
        if os.environ.get("SEAMWRIGHT_REQUIRE_BROWSER"):
            pytest.fail("no browser, and SEAMWRIGHT_REQUIRE_BROWSER asks for one")
        pytest.skip("no browser installed")
    folder: Path = tmp_path_factory.mktemp("browser")
    page = folder / "page.html"
    body = "".join(f"{HEAD}{drawing}</svg>" for drawing in DRAWINGS.values())
    page.write_text(f"<!doctype html><body style='margin:0'>{body}<script>{SCRIPT}</script>")
    done = subprocess.run(
        [program, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/p",
         "--dump-dom", page.as_uri()],
        capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    found = re.search("<pre>(.*?)</pre>", done.stdout, re.DOTALL)
    assert found is not None, done.stdout[:500]
    return dict(zip(DRAWINGS, json.loads(base64.b64decode(found.group(1))), strict=True))


def ours(name: str) -> Any:
    data = f"{HEAD}{DRAWINGS[name]}</svg>".encode()
    notes, tree = notes_for("x", Context()), parse(data, "x", Limits())
    scale = scale_of(tree.root, SvgIn(), Context(), "x")
    return walk(tree, sheet_of(tree, notes), scale, SvgIn(), notes, Limits())


def on_paper(points: Any) -> FloatArray:
    """Screen pixels to mm, y up, up to where the page lies."""
    return np.array(points, dtype=float).reshape(-1, 2) * [MM, -MM]


@pytest.mark.parametrize("name", list(DRAWINGS))
def test_every_line_lies_where_the_browser_draws_it(judged: dict[str, Any], name: str) -> None:
    drawing = ours(name)
    by_id: dict[str, list[Any]] = {}
    for stroke in drawing.strokes:
        by_id.setdefault(stroke.named.node.id, []).append(stroke.curve)
    shapes = dict(judged[name]["shapes"])
    shift = by_id["origin"][0].start - on_paper(shapes["origin"])[0]
    clones = judged[name]["clones"]
    assert set(shapes) == {k for k in by_id if k or not clones}
    for ident, points in shapes.items():
        at = on_paper(points) + shift
        distances = [curve.nearest(at).distances for curve in by_id[ident]]
        assert np.min(distances, axis=0).max() < 0.01  # browsers compute in single precision
    for ident, (left, top, right, bottom) in clones:
        boxes = np.array(
            [
                s.curve.bbox
                for s in drawing.strokes
                if any(g.named.node.id == ident for g in s.chain())
            ]
        )
        box = np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))
        corners = on_paper([left, bottom, right, top]) + shift
        assert box == pytest.approx(corners.reshape(-1), abs=0.01)

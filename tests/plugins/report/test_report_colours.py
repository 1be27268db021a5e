"""Colours in numbers: words stand out from their ground, lines from theirs, by light and by dark;
and what was and what is stay apart for people who see fewer colours."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from seamwright.plugins.api import Record

# WCAG 2.2, criteria 1.4.3 and 1.4.11; relative luminance as defined there.
WORDS, LINES = 4.5, 3.0

RATIOS = """(() => {
const rgb = c => c.match(/[\\d.]+/g).map(Number);
const lum = c => rgb(c).slice(0, 3).map(v => v / 255)
    .map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((s, v, i) => s + v * [0.2126, 0.7152, 0.0722][i], 0);
window.ratio = (c, d) => { const a = lum(c), b = lum(d);
    return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05); };
window.ground = e => { for (; e; e = e.parentElement) {
    const c = getComputedStyle(e).backgroundColor;
    if ((rgb(c)[3] ?? 1) > 0) return c; } return getComputedStyle(document.body).backgroundColor; };
window.token = name => { const e = document.createElement('i');
    e.style.color = `var(--${name})`; document.body.append(e);
    const c = getComputedStyle(e).color; e.remove(); return c; };
})()"""

# Words within drawings, and the ground that they may stand on.
DRAWN_WORDS = [
    *((ink, ground) for ink in ("ink", "soft") for ground in ("paper", "card", "cloth", "pick")),
    *(("on", f"q{k}") for k in range(7)),
    ("on", "before"),
    ("ink", "card"),
    ("sew", "sew-fill"),
    ("to", "to-fill"),
    ("sew", "paper"),
    ("to", "paper"),
    ("before", "bad"),
    ("good", "paper"),
]
# Lines and marks, and the ground that they are drawn on.
DRAWN_LINES = [
    *(
        (line, ground)
        for line in ("before", "after", "ink")
        for ground in ("card", "cloth", "paper")
    ),
    ("before", "lost"),
    ("after", "got"),
    ("after", "lost"),
    ("before", "got"),
    ("sew", "sew-fill"),
    ("sew", "to-fill"),
    ("to", "to-fill"),
    ("to", "sew-fill"),
    ("sew", "ease"),
    ("to", "ease"),
    ("comb", "card"),
    ("range-line", "paper"),
    *((f"q{k}", ground) for k in range(7) for ground in ("paper", "cloth")),
]


@pytest.fixture(scope="module", params=["light", "dark"])
def shown(
    request: pytest.FixtureRequest,
    browser: Any,
    stepped_run: Record,
    tmp_path_factory: pytest.TempPathFactory,
    html: Callable[..., bytes],
) -> Iterator[Any]:
    file = Path(tmp_path_factory.mktemp("colours")) / "page.html"
    file.write_bytes(html(stepped_run))
    page = browser.open(file)
    page.looks(dark=request.param == "dark")
    page.until("document.querySelector('svg.roll .contact')")
    page.value(RATIOS)
    yield page
    page.close()


def test_words_stand_out_from_their_ground(shown: Any) -> None:
    shown.value("document.querySelectorAll('details').forEach(d => { d.open = true })")
    worst = shown.value(
        """(() => { let worst = [99, '']; let count = 0;
        for (const e of document.querySelectorAll('body *')) {
            if (e.closest('svg, script, [disabled], .unseen') ||
                ![...e.childNodes].some(n => n.nodeType == 3 && n.data.trim())) continue;
            count++;
            const r = ratio(getComputedStyle(e).color, ground(e));
            if (r < worst[0]) worst = [r, e.outerHTML.slice(0, 90)];
        }
        return [...worst, count]; })()"""
    )
    assert worst[2] > 300
    assert worst[0] >= WORDS, worst


def test_drawings_stand_out_from_their_ground(shown: Any) -> None:
    for pairs, least in ((DRAWN_WORDS, WORDS), (DRAWN_LINES, LINES)):
        for a, b in pairs:
            ratio = shown.value(f"ratio(token('{a}'), token('{b}'))")
            assert ratio >= least, (a, b, ratio)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of an sRGB colour under D65 (IEC 61966-2-1, CIE 15)."""
    v = np.asarray(rgb, dtype=np.float64) / 255.0
    v = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    m = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    xyz = m @ v / np.array([0.95047, 1.0, 1.08883])
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@pytest.mark.parametrize("sight", ["none", "protanopia", "deuteranopia", "tritanopia"])
def test_before_and_after_stay_apart_for_every_eye(shown: Any, sight: str) -> None:
    """As the browser shows the page to such an eye. A difference of 20 is seen at a glance."""
    groups = [("before", "after"), ("lost", "got", "cloth"), ("sew", "to")]
    names = [name for group in groups for name in group]
    shown.value(
        "(() => { const box = document.createElement('div'); box.id = 'swatches';"
        "box.style.cssText = 'position:fixed;top:0;left:0;z-index:9;display:flex';"
        f"for (const n of {names}) {{ const e = document.createElement('i');"
        "e.style.cssText = `width:20px;height:20px;background:var(--${n})`; box.append(e); }"
        "document.body.append(box); scrollTo(0, 0); })()"
    )
    shown.ask("Emulation.setEmulatedVisionDeficiency", type=sight)
    picture = np.asarray(Image.open(io.BytesIO(shown.picture("#swatches"))).convert("RGB"))
    shown.ask("Emulation.setEmulatedVisionDeficiency", type="none")
    shown.value("document.getElementById('swatches').remove()")
    seen = {name: lab(picture[10, 20 * i + 10]) for i, name in enumerate(names)}
    for group in groups:
        for a, b in combinations(group, 2):
            # Areas are hatched or plain besides; lines are dashed or solid besides.
            least = 20.0 if group != groups[1] else 8.0
            assert np.linalg.norm(seen[a] - seen[b]) > least, (sight, a, b)

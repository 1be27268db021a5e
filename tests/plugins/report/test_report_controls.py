"""Every control of the page, pressed in a real browser by mouse and by keyboard."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, Run, RunPart, Seam, build_shape
from seamwright.plan import walk
from seamwright.plugins.api import Record, StepRecord
from seamwright_report.say import Say

PATHS = (
    "[...document.querySelectorAll('{} path')]"
    ".map(p => [p.getAttribute('class'), p.getAttribute('d')])"
)
MANNERS = {"f": "full", "b": "both", "a": "about", "s": "short"}


@pytest.fixture
def opened(
    browser: Any, stepped_run: Record, tmp_path: Path, html: Callable[..., bytes]
) -> Iterator[Any]:
    """The page of a run, open, its first seam's stage built."""
    file = tmp_path / "page.html"
    file.write_bytes(html(stepped_run))
    page = browser.open(file, width=1280)
    page.until("document.querySelector('svg.roll .contact')")
    yield page
    assert page.complaints() == []
    assert page.requests() == [file.as_uri()]
    page.close()


def pixels(page: Any, selector: str) -> np.ndarray:
    picture = Image.open(io.BytesIO(page.picture(selector))).convert("RGB")
    return np.asarray(picture, dtype=np.int64)


def differs(a: np.ndarray, b: np.ndarray) -> int:
    """How many pixels are clearly another colour."""
    if a.shape != b.shape:
        return max(a.size, b.size)
    return int((np.abs(a - b).max(axis=2) > 24).sum())


def move(page: Any, u: float, within: str = "article.seam") -> None:
    page.value(
        f"(()=>{{const s=document.querySelector({within!r} + ' input[type=range]');"
        f"s.value={u};s.dispatchEvent(new Event('input'))}})()"
    )


def test_the_script_draws_what_stands_in_the_page(
    browser: Any, stepped_run: Record, tmp_path: Path, html: Callable[..., bytes]
) -> None:
    """Away to another size and back: the same lines as were written, number for number."""
    file = tmp_path / "page.html"
    file.write_bytes(html(stepped_run))
    still = browser.open(file, js=False)
    written = still.value(PATHS.format("svg.pic"))
    strips = still.value(
        "[...document.querySelectorAll('.strips, .figures')].map(e => e.innerText)"
    )
    tables = still.value("[...document.querySelectorAll('.stretches td')].map(e => e.textContent)")
    still.close()
    page = browser.open(file)
    page.click("label[for=s2]")
    page.value("dispatchEvent(new Event('beforeprint'))")  # draws what is out of sight, too
    other = page.value(PATHS.format("svg.pic"))
    page.click("label[for=s1]")
    page.value("dispatchEvent(new Event('beforeprint'))")
    back = page.value(PATHS.format("svg.pic"))
    assert other != back
    assert back == written
    told = page.value("[...document.querySelectorAll('.strips, .figures')].map(e => e.innerText)")
    assert told == strips
    now = page.value("[...document.querySelectorAll('.stretches td')].map(e => e.textContent)")
    assert now == tables
    page.close()


def test_sizes_change_pictures_strips_and_stage(opened: Any, stepped_run: Record) -> None:
    before = pixels(opened, "article.seam .strips"), pixels(opened, "svg.roll")
    opened.click("label[for=s0]")
    opened.until("document.querySelector('article.seam .shown').textContent == 'B'")
    after = pixels(opened, "article.seam .strips"), pixels(opened, "svg.roll")
    assert differs(before[0], after[0]) > 200 and differs(before[1], after[1]) > 200
    # The figure told is that of the walk in that size.
    new = walk(stepped_run.after)
    number = int(opened.value("document.querySelector('article.seam').dataset.s"))
    want = Say("in").both(round(float(new.ease[number, 0]), 2))
    assert want in opened.value("document.querySelector('article.seam .figures').textContent")


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
def test_every_length_is_said_in_the_unit_that_is_chosen(opened: Any, unit: str) -> None:
    """Word for word as the page would have been written in that unit."""
    rng = np.random.default_rng(11)
    values = [0.0, -0.004, 0.06, 0.5, 12.5, 25.4, -25.4, 0.125, 3.175, 7.9375, 1000.0, 40.0]
    values += [round(float(v), 4) for v in rng.uniform(-300, 900, 150)]
    values += [round(float(v), 4) for v in rng.uniform(-1, 1, 60)]
    made = [(m, v) for m in MANNERS for v in values]
    opened.value(
        "(()=>{const list=" + json.dumps(made) + ";const p=document.createElement('p');p.id='test';"
        "for(const [m,v] of list){const d=document.createElement('data');d.value=v;"
        "if(m!='s')d.className=m;p.append(d)}document.body.append(p)})()"
    )
    others = [u for u in ("mm", "cm", "in") if u != unit]
    opened.click(f"input[value={others[0]}] + span")
    opened.click(f"input[value={unit}] + span")
    told = opened.value("[...document.querySelectorAll('#test data')].map(d => d.textContent)")
    say = Say(unit)
    want = [getattr(say, MANNERS[m])(v) for m, v in made]
    assert told == want
    assert opened.value(f"document.querySelector('input[value={unit}]').checked")
    # Axes get round places in the unit.
    axis = opened.value(
        "[...document.querySelectorAll('.axis')[0].children].map(e => e.textContent)"
    )
    if unit != "in":
        assert all(float(t) * 100 % 10 == pytest.approx(0, abs=1e-6) for t in axis)
    opened.value("document.getElementById('test').remove()")


def test_the_slider_by_keyboard(opened: Any) -> None:
    opened.value("document.querySelector('article.seam input[type=range]').focus()")
    opened.key("Home")
    assert float(opened.value("document.querySelector('svg.roll').dataset.t")) == 0
    first = pixels(opened, "svg.roll")
    opened.key("ArrowRight")
    opened.key("ArrowRight")
    assert float(opened.value("document.querySelector('svg.roll').dataset.t")) == 200  # 2 mm
    opened.key("End")
    last = pixels(opened, "svg.roll")
    assert differs(first, last) > 1000
    told = opened.value("document.querySelector('output.told').textContent")
    assert "is left over: that is the ease." in told
    said = opened.value(
        "document.querySelector('article.seam input[type=range]').getAttribute('aria-valuetext')"
    )
    assert " of " in said and said.endswith(" in")


def test_from_notch_to_notch(opened: Any, stepped_run: Record) -> None:
    """The arrows stop where either side's notch is reached, and the words name it."""
    number = int(opened.value("document.querySelector('article.seam').dataset.s"))
    new, z = walk(stepped_run.after), 1
    rows = np.flatnonzero(new.pair_seams == number)
    stops = sorted(
        {round(float(v), 2) for r in rows for v in (new.pair_sew[r, z], new.pair_to[r, z])}
    )
    move(opened, 0)
    seen = []
    for _ in range(20):
        opened.click("article.seam button[aria-label='To the next notch']")
        seen.append(float(opened.value("document.querySelector('svg.roll').dataset.t")) / 100)
        told = opened.value("document.querySelector('output.told').textContent")
        if "Notch a" not in told:
            break
    for stop in stops:
        assert min(abs(stop - s) for s in seen) <= 0.31  # places 0.3 mm apart are one stop
    opened.click("article.seam button[aria-label='To the notch before']")
    back = float(opened.value("document.querySelector('svg.roll').dataset.t")) / 100
    assert back == pytest.approx(seen[-2], abs=0.31)


def test_ease_taken_up_meets_at_the_notches_and_ends(opened: Any, stepped_run: Record) -> None:
    number = int(opened.value("document.querySelector('article.seam').dataset.s"))
    opened.click("article.seam input[value=eased] + span")
    move(opened, 10_000)  # beyond the end
    new, z = walk(stepped_run.after), 1
    at = opened.value("(({s,t}) => [+s, +t])(document.querySelector('svg.roll').dataset)")
    assert at == pytest.approx(
        [100 * new.sew_lengths[number, z], 100 * new.to_lengths[number, z]], abs=1.0
    )
    assert "Both ends are reached together." in opened.value(
        "document.querySelector('output.told').textContent"
    )


def test_close_before_and_roll(opened: Any) -> None:
    move(opened, 60)
    wide = pixels(opened, "svg.roll")
    box = "document.querySelector('svg.roll').getAttribute('viewBox').split(' ').map(Number)[2]"
    was = opened.value(box)
    opened.click("article.seam .tools input[type=checkbox]")
    assert opened.value(box) == 9000 < was  # 90 mm across
    close = pixels(opened, "svg.roll")
    assert differs(wide, close) > 1000
    opened.click("article.seam input[value=b] + span")
    assert differs(close, pixels(opened, "svg.roll")) > 100
    opened.click("article.seam button[aria-label='Roll from end to end']")
    start = float(opened.value("document.querySelector('svg.roll').dataset.t"))
    opened.until(f"Number(document.querySelector('svg.roll').dataset.t) > {start} + 300")
    opened.click("article.seam button[aria-label='Roll from end to end']")
    last = "document.querySelector('article.seam .slide button:last-child')"
    assert opened.value(f"{last}.textContent") == "Roll"
    rest = opened.value("document.querySelector('svg.roll').dataset.t")
    assert rest == opened.value(
        "new Promise(r => setTimeout(() => r(document.querySelector('svg.roll').dataset.t), 80))"
    )


def test_combs_on_demand(opened: Any) -> None:
    opened.value("document.querySelector('#pieces svg.pic').scrollIntoView()")
    bare = pixels(opened, "#pieces svg.pic")
    assert opened.value("document.querySelectorAll('path.comb').length") == 0
    opened.value("document.getElementById('combs').focus()")
    opened.key(" ")
    opened.value("document.querySelector('#pieces svg.pic').scrollIntoView()")
    opened.until("document.querySelectorAll('#pieces svg.pic path.comb').length >= 2")
    assert differs(bare, pixels(opened, "#pieces svg.pic")) > 300
    # No tooth is cut off.
    assert opened.value(
        "[...document.querySelectorAll('#pieces svg.pic')].filter(s => s.querySelector('.comb'))"
        ".every(s => {const v = s.viewBox.baseVal;"
        "return [...s.querySelectorAll('.comb')].every(p => {const b = p.getBBox();"
        "return b.x >= v.x - 1 && b.y >= v.y - 1 && b.x + b.width <= v.x + v.width + 1"
        "&& b.y + b.height <= v.y + v.height + 1})})"
    )
    opened.key(" ")
    opened.until("document.querySelectorAll('#pieces svg.pic path.comb').length == 0")
    assert differs(bare, pixels(opened, "#pieces svg.pic")) == 0


def test_closer_to_what_moved(
    browser: Any, tmp_path: Path, html: Callable[..., bytes], dented: Record
) -> None:
    """Where a small part of a large piece moved, its picture can be had closer."""
    file = tmp_path / "page.html"
    file.write_bytes(html(dented))
    opened = browser.open(file)
    opened.value("document.querySelector('.of-step svg.pic').scrollIntoView()")
    opened.until("document.querySelector('.of-step button')")
    whole = pixels(opened, ".of-step svg.pic")
    own = "document.querySelector('.of-step svg').viewBox.baseVal"
    box = f"(v => [v.x, v.y, v.width, v.height])({own})"
    was = opened.value(box)
    opened.key("Tab")
    opened.value("document.querySelector('.of-step button').focus()")
    opened.key("Enter")
    assert opened.value("document.querySelector('.of-step button').ariaPressed") == "true"
    x, y, w, h = opened.value(box)
    assert w < 0.5 * was[2]
    assert x < 20_000 < x + w and y < -30_000 < y + h  # the dent is in it
    assert differs(whole, pixels(opened, ".of-step svg.pic")) > 300
    opened.click(".of-step button")
    assert opened.value(box) == was
    assert opened.complaints() == []
    opened.close()


@pytest.fixture
def dented() -> Record:
    """A step that presses a small dent into the upper edge of a large piece."""

    def style(depth: float) -> Pattern:
        corners = [
            (0, 300),
            (0, 0),
            (400, 0),
            (400, 300),
            (210, 300),
            (200, 300 - depth),
            (190, 300),
        ]
        outline = Curve.polyline(corners, closed=True)
        piece = Piece(name="Front", shapes=(build_shape(size="M", outline=outline),))
        return Pattern(name="dent", pieces=(piece,), sizes=("M",), base_size="M")

    before, after = style(0.0), style(6.0)
    step = StepRecord(use="any/dent", kind="alteration", options={}, changed=(("Front", "M"),))
    return Record(before=before, after=after, steps=(step,), snapshots=(after,))


def test_a_cell_of_the_table_leads_to_its_seam_in_its_size(opened: Any) -> None:
    opened.click("#seams tbody tr:nth-child(4) td:nth-of-type(2)")
    assert opened.value("document.getElementById('s0').checked")
    number = opened.value("document.querySelector('#seams tbody tr:nth-child(4)').dataset.s")
    article = f"#seam-{int(number) + 1}"
    assert opened.value(f"document.querySelector('{article} details').open")
    opened.until(f"document.querySelector('{article} svg.roll .contact')")
    # A seam's name leads there as a link does.
    opened.click("#seams tbody tr:nth-child(3) th a")
    opened.until("document.querySelector(location.hash + ' details').open")


def test_the_folding_sheet_alone(opened: Any) -> None:
    shown = (
        "[...document.querySelectorAll('main > section')]"
        ".filter(s => getComputedStyle(s).display != 'none').map(s => s.id)"
    )
    assert len(opened.value(shown)) > 5
    opened.value("window.print = () => { window.printed = true }")
    opened.click("#fold a.print")
    opened.until("window.printed")
    assert opened.value(shown) == ["fold"]
    assert opened.value("getComputedStyle(document.querySelector('.bar')).display") == "none"
    opened.looks(media="print")
    assert opened.value("document.querySelectorAll('.folds tbody tr').length") == 3
    assert "Test the altered sleeve in cheap cloth" in opened.value(
        "document.querySelector('#fold').innerText"
    )
    opened.looks()
    opened.click("#fold .only a")
    assert len(opened.value(shown)) > 5


def test_without_script_the_sheet_alone_works_and_dead_switches_are_not_shown(
    browser: Any, stepped_run: Record, tmp_path: Path, html: Callable[..., bytes]
) -> None:
    file = tmp_path / "page.html"
    file.write_bytes(html(stepped_run))
    page = browser.open(file, js=False)
    dead = ".units, .comb-switch, .stage"
    assert page.value(
        f"[...document.querySelectorAll('{dead}')]"
        ".every(e => getComputedStyle(e).display == 'none')"
    )
    assert page.value("document.querySelectorAll('.strip').length") >= 5
    page.click("#fold a.print")
    assert page.value(
        "[...document.querySelectorAll('main > section')]"
        ".filter(s => getComputedStyle(s).display != 'none').map(s => s.id)"
    ) == ["fold"]
    assert page.complaints() == []
    page.close()


def test_every_control_and_picture_has_a_name(opened: Any) -> None:
    """In the tree that a screen reader is given."""
    nodes = opened.ask("Accessibility.getFullAXTree")["nodes"]
    named = {"button", "slider", "radio", "checkbox", "link", "image", "radiogroup",
             "DisclosureTriangle", "heading", "navigation"}  # fmt: skip
    seen: dict[str, list[str]] = {}
    for node in nodes:
        role = node.get("role", {}).get("value", "")
        if not node.get("ignored") and role in named:
            seen.setdefault(role, []).append(node.get("name", {}).get("value", "").strip())
    assert {"button", "slider", "radio", "checkbox", "link", "image", "heading"} <= set(seen)
    assert {role: names for role, names in seen.items() if not all(names)} == {}
    assert "How far is walked" in seen["slider"]
    assert "size C" in seen["radio"] and "mm" in seen["radio"]


def test_all_is_reached_by_the_tab_key(opened: Any) -> None:
    """From the top down: every control that can be seen takes its turn, and shows it."""
    opened.value("document.activeElement.blur(); scrollTo(0, 0)")
    reached, bare = set(), []
    name = "((e) => e.id || e.className || e.value || e.textContent)(document.activeElement)"
    for _ in range(80):
        opened.key("Tab")
        if opened.value("document.activeElement == document.body"):
            break
        reached.add(opened.value(name))
        if not opened.value(
            "(e => e.matches('.switch') || [e, e.nextElementSibling].some("
            "x => x && getComputedStyle(x).outlineStyle != 'none'))"
            "(document.activeElement)"
        ):
            bare.append(opened.value("document.activeElement.outerHTML.slice(0, 90)"))
    assert bare == []
    wanted = {"s1", "combs", "in", "button print", "Roll"}
    assert wanted <= reached, wanted - reached
    assert opened.value("document.querySelectorAll('[tabindex]:not([tabindex=\"0\"])').length") == 0


@pytest.mark.parametrize(
    "name",
    ["</script><img src=x onerror=alert(1)>", "'\"><svg onload=alert(1)>", "\x01s5.0\x03x\x02"],
)
def test_names_stay_names_wherever_the_script_puts_them(
    browser: Any, tmp_path: Path, html: Callable[..., bytes], name: str
) -> None:
    """Pieces, sizes, seams, corners and notches of one awkward name, in every part of the page that
    the script makes."""

    def piece(first: str, *sizes: str) -> Piece:
        corners = [(0, 100), (0, 0), (100, 0), (100, 100)]
        shapes = tuple(
            build_shape(
                size=size,
                outline=Curve.polyline(corners, closed=True),
                corners=[Station(i, 0.0) for i in range(4)],
                corner_names=["a", f"{name}!", "c", "d"],
                notches=[Notch(name="<img src", station=Station(1, 0.3 + 0.2 * k))],
            )
            for k, size in enumerate(sizes)
        )
        return Piece(name=first, shapes=shapes)

    sizes = (name, "other")
    run = [Run(parts=(RunPart(piece=p, marks=(f"{name}!", "c")),)) for p in (name, "partner")]
    seam = Seam(name=name, sew=run[0], to=run[1], meet=(("<img src", "<img src"),))
    pattern = Pattern(
        name=name, pieces=(piece(name, *sizes), piece("partner", *reversed(sizes))), sizes=sizes,
        base_size=name, seams=(seam,),
    )  # fmt: skip
    file = tmp_path / "page.html"
    file.write_bytes(html(Record(before=pattern, after=pattern)))
    page = browser.open(file)
    page.until("document.querySelector('svg.roll .contact')")
    page.click("label[for=s1]")
    page.click("label[for=s0]")
    page.click("input[value=cm] + span")
    page.click("article.seam button[aria-label='To the next notch']")
    page.value("dispatchEvent(new Event('beforeprint'))")
    shown = "".join("\ufffd" if c < " " else c for c in name)
    for selector in (".strip bdi", ".pairs bdi", ".stretches bdi", "output.told bdi", ".of-sew",
                     ".shown", "h1", ".map figcaption"):  # fmt: skip
        texts = page.value(f"[...document.querySelectorAll('{selector}')].map(e => e.textContent)")
        wanted = "<img src" if selector == ".pairs bdi" else shown
        assert any(wanted in text for text in texts), (selector, texts)
    assert page.value("document.images.length") == 0
    assert page.value("document.scripts.length") == 2
    assert page.value("document.querySelectorAll('svg svg, [onload], [onerror]').length") == 0
    assert page.complaints() == []
    assert page.requests() == [file.as_uri()]
    page.close()

"""The seams in every size, worst first; and the notches that miss one another."""

from __future__ import annotations

from math import isfinite

import numpy as np

from seamwright.plan import DEFAULT_TOLERANCE

from .facts import Facts, Pair, SeamFacts
from .markup import Markup, Told, el, name
from .say import Say

WORDS = {"over": "too long", "under": "too short", "ok": "within the range"}
SIGNS = {"over": "▲", "under": "▼", "ok": ""}


def verdict(beyond: float) -> str:
    """ "over", "under" or "ok"; "" where nothing was measured."""
    if not isfinite(beyond):
        return ""
    return "over" if beyond > 0 else "under" if beyond < 0 else "ok"


def seam_table(facts: Facts, say: Say) -> Markup:
    """Seams down, sizes across; ease after in bold over ease before where it changed. Each seam's
    name leads to where it can be walked."""
    numbers = {seam.name: number for number, seam in enumerate(facts.seams, start=1)}
    off = _off(facts)
    head = el(
        "tr",
        el("th", "Seam", scope="col"),
        el("th", "allowed", scope="col", class_="n"),
        [
            el("th", name(size), scope="col", class_=f"n col{z}")
            for z, size in enumerate(facts.sizes)
        ],
    )
    rows = [
        _row(seam, facts, say, numbers[seam.name], off.get(seam.name, set()))
        for seam in facts.worst_first
    ]
    legend = el(
        "p",
        Told(
            f"Ease in {say.word}: how much longer the first edge is than the one it is sewn to. In "
            "bold how it stands now, above it how it was. "
        ),
        el("span", "▲ too long", class_="over"),
        " ",
        el("span", "▼ too short", class_="under"),
        " ",
        el("span", "◇ notches miss", class_="over") if off else None,
        _rounding(say),
        class_="legend",
    )
    table = el("table", el("thead", head), el("tbody", rows), class_="seams")
    return el("div", legend, el("div", table, class_="wide", tabindex="0", role="group",
                                aria_label="Ease of every seam in every size"))  # fmt: skip


def _rounding(say: Say) -> str:
    if say.unit == "in":
        return ". Inches are rounded to 1/16; exact lengths stand below the table."
    return ". Exact lengths stand below the table."


def _off(facts: Facts) -> dict[str, set[int]]:
    """Seam -> numbers of the sizes in which notches of it miss one another."""
    out: dict[str, set[int]] = {}
    for pair in facts.pairs:
        for z in np.flatnonzero(np.abs(np.nan_to_num(pair.after)) > DEFAULT_TOLERANCE + 1e-9):
            out.setdefault(pair.seam, set()).add(int(z))
    return out


def _row(seam: SeamFacts, facts: Facts, say: Say, number: int, off: set[int]) -> Markup:
    if seam.stated:
        allowed = Told(f"{say.short(seam.at_least)} to {say.short(seam.at_most)}")
    else:
        allowed = Told(f"± {say.short(seam.at_most)}")
    return el(
        "tr",
        el("th", el("a", name(seam.name), href=f"#seam-{number}"), scope="row"),
        el("td", allowed, class_="n soft"),
        [_cell(seam, z, say, miss=z in off) for z in range(len(facts.sizes))],
        data_s=number - 1,
    )


def _cell(seam: SeamFacts, z: int, say: Say, *, miss: bool) -> Markup:
    old, new = float(seam.before[z]), float(seam.after[z])
    state = verdict(float(seam.out_after[z]))
    was = verdict(float(seam.out_before[z]))
    changed = isfinite(old) and isfinite(new) and abs(new - old) > 0.005
    parts: list[object] = []
    if changed:
        parts.append(el("span", SIGNS.get(was, ""), say.short(old), class_=f"was {was}"))
    parts.append(el("b", SIGNS.get(state, ""), say.short(new), class_=state or None))
    said = f"now {say.exact(new)}, {WORDS.get(state, 'not measured')}"
    if changed:
        said = f"was {say.exact(old)}, {WORDS.get(was, 'not measured')}; " + said
    if miss:
        parts.append(el("span", "◇", class_="over"))
        said += "; notches miss one another"
    shade = " bad" if state in ("over", "under") or miss else ""
    return el("td", parts, class_=f"n col{z}{shade}", title=said)


def length_table(facts: Facts) -> Markup:
    """Every seam's lengths in mm, before and after, to a thousandth."""
    heads = ("seam", "size", "sewn before", "to before", "sewn after", "to after", "ease after")
    head = el("tr", [el("th", h, scope="col", class_=None if i < 2 else "n")
                     for i, h in enumerate(heads)])  # fmt: skip
    rows = []
    for seam in facts.worst_first:
        for z, size in enumerate(facts.sizes):
            values = (
                seam.sew_before[z],
                seam.to_before[z],
                seam.sew_after[z],
                seam.to_after[z],
                seam.after[z],
            )
            if not np.isfinite(values).any():
                continue
            rows.append(
                el(
                    "tr",
                    el("th", name(seam.name), scope="row"),
                    el("td", name(size)),
                    [el("td", f"{v:z.3f}" if isfinite(v) else "–", class_="n") for v in values],
                )
            )
    table = el("table", el("thead", head), el("tbody", rows), class_="small")
    return el(
        "details",
        el("summary", "Exact lengths of every seam, in mm"),
        el("div", table, class_="wide"),
    )


def notch_notes(facts: Facts, say: Say) -> Markup | None:
    """Whether the pairs of notches meet; a table of those that do not."""
    if not facts.pairs:
        return None
    bad = [p for p in facts.pairs if _missing(p.before) or _missing(p.after)]
    if not bad:
        count = len(facts.pairs)
        told = "The one pair" if count == 1 else f"All {count} pairs"
        return el("p", f"{told} of notches that must meet do, in every size.")
    head = el(
        "tr",
        el("th", "Notches that miss one another", scope="col"),
        [el("th", name(size), scope="col", class_="n") for size in facts.sizes],
    )
    rows = [
        el(
            "tr",
            el("th", name(p.seam), ": ", name(p.names[0]), " and ", name(p.names[1]), scope="row"),
            [_miss(p, z, say) for z in range(len(facts.sizes))],
        )
        for p in bad
    ]
    rest = len(facts.pairs) - len(bad)
    told = f"The other {rest} pairs meet." if rest > 1 else "The other pair meets." if rest else ""
    return el(
        "div",
        el("div", el("table", el("thead", head), el("tbody", rows), class_="seams"),
           class_="wide"),
        el("p", Told(f"In {say.word}; shown from {say.full(DEFAULT_TOLERANCE)} on. {told}"),
           class_="soft"),
    )  # fmt: skip


def _missing(values: np.ndarray) -> bool:
    return bool((np.abs(np.nan_to_num(values)) > DEFAULT_TOLERANCE + 1e-9).any())


def _miss(pair: Pair, z: int, say: Say) -> Markup:
    old, new = float(pair.before[z]), float(pair.after[z])
    out = isfinite(new) and abs(new) > DEFAULT_TOLERANCE + 1e-9
    parts: list[object] = []
    if isfinite(old) and isfinite(new) and abs(old - new) > 0.005:
        parts.append(el("span", say.short(abs(old)), class_="was"))
    parts.append(el("b", say.short(abs(new)), class_="over" if out else None))
    return el("td", parts, class_="n", title=say.exact(new))
